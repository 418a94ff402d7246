package cases_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/shop"
)

// build is a plan for a built-in layout by a built-in sheet.
func build(t require.TestingT, frame, sheet string) (*plan.Plan, error) {
	data, ok := library.Layout(frame)
	require.True(t, ok, frame)
	f, _, err := patterns.ReadLayout(frame, data)
	require.NoError(t, err)
	data, ok = library.Technique(sheet)
	require.True(t, ok, sheet)
	technique, _, err := sequence.ReadTechnique(sheet, data)
	require.NoError(t, err)
	tension, err := measure.ParseTension("24 kg")
	require.NoError(t, err)
	return sequence.Build(f, technique, tension, tension)
}

// answered answers question after question at random until the case is known.
func answered(t *rapid.T, q cases.Question) cases.Answer {
	for range 9 {
		require.NotEmpty(t, q.Ask)
		require.NotEmpty(t, q.Answers, q.Ask)
		seen := map[string]bool{}
		for _, a := range q.Answers {
			require.NotEmpty(t, a.Say)
			require.False(t, seen[a.Say], "%q tells no two cases apart", a.Say)
			seen[a.Say] = true
		}
		a := rapid.SampledFrom(q.Answers).Draw(t, q.Ask)
		if a.Next == nil {
			return a
		}
		q = a.Next()
	}
	t.Fatal("the questions come to no end")
	return cases.Answer{}
}

// Whatever is asked at whatever moment, also on a way back, and whatever is answered: there is a way back, and the referee
// proves it, or it has to wait until the way back in hand is over.
func TestEveryCaseHasAWayBack(t *testing.T) {
	defer sweep.Drawn(1)()
	rapid.Check(t, func(t *rapid.T) {
		p, err := build(t, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet"))
		if err != nil {
			t.Skip(err)
		}
		done := 0
		for range rapid.IntRange(1, 2).Draw(t, "mishaps") {
			if done >= len(p.Steps)-1 {
				return
			}
			done = rapid.IntRange(max(done, 1), len(p.Steps)-1).Draw(t, "done")
			m := cases.At(p, done)
			q := m.Wrong()
			if slip := m.Slipped(); rapid.Bool().Draw(t, "slip") && len(slip.Answers) > 0 {
				q = slip
			}
			a := answered(t, q)
			if a.Again {
				return
			}
			next, err := shop.Mend(p, done, a.Trouble)
			if err != nil && strings.Contains(err.Error(), "still slack from before") {
				return // told in words: what is wrong waits until the way back that is in hand is over
			}
			require.NoError(t, err, "%d of %d: %s", done, len(p.Steps), a.Trouble.Words())
			p, done = next, done+1
			if p.Cracked() {
				return
			}
		}
	})
}
