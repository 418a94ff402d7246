package cases_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/cases"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

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
		w, err := sequencetest.Try(t, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet"))
		if err != nil {
			t.Skip(err)
		}
		p, done := w.Plan, 0
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
