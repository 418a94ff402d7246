package cases_test

import (
	"fmt"
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

// The same answer has the same number at whatever step it is offered, what is asked of one thing only is not asked, and after an
// interruption the step in hand can have been begun.
func TestAnswersKeepTheirNumbers(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	numbers, asked := map[string]int{}, 0
	same := func(q cases.Question) {
		for i, a := range q.Answers {
			if a.Number == 0 {
				continue
			}
			say, _, _ := strings.Cut(a.Say, " on ") // a clamp's place changes
			say = q.Ask + " " + say
			if n, known := numbers[say]; known {
				require.Equal(t, n, q.Number(i), say)
			}
			numbers[say] = q.Number(i)
		}
	}
	for done := range p.Steps {
		m := cases.At(p, done)
		same(m.Wrong())
		same(m.Slipped())
		same(m.Doubtful())
		for _, a := range m.Wrong().Answers {
			if a.Say == "string broke" {
				same(a.Next())
			}
		}
		for _, a := range m.Doubtful().Answers {
			if strings.HasPrefix(a.Say, "the step in hand is begun") {
				asked++
				how := a.Next().Answers[0].Next()
				only, ok := how.Only()
				require.True(t, ok)
				require.True(t, only.Again || only.Trouble.Ops > 0, "so far it was done")
			}
		}
	}
	require.Greater(t, asked, 30, "every step that pulls")
	require.Equal(t, []int{4, 4, 1, 2}, []int{numbers["What went wrong? string broke"], numbers["Where did it break? in the bed"],
		numbers["What slipped? the gripper slipped"], numbers["What slipped? clamp A slipped"]})
}

// A knot that gave a little is kept by name, and nothing of the string counts as slack; one that came open is not.
func TestKnotsThatGaveALittle(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := 0
	for ; len(p.After(done).Knots()) < 2; done++ {
	}
	q := cases.At(p, done).Wrong()
	at := 0
	for q.Answers[at].Say != "a knot slipped" {
		at++
	}
	how := q.Answers[at].Next().Answers[0].Next()
	require.Len(t, how.Answers, 2)
	require.Contains(t, how.Hint, "M8L loses most of what it had, M7L some")
	keep := how.Answers[1]
	require.NotEmpty(t, keep.Words)
	next, err := shop.Mend(p, done, keep.Trouble)
	require.NoError(t, err)
	require.Equal(t, len(p.Steps)+1, len(next.Steps), "it is only written down")
	require.True(t, next.After(done+1).Tight("M8L"))
	open, err := shop.Mend(p, done, how.Answers[0].Trouble)
	require.NoError(t, err)
	require.False(t, open.After(done+1).Tight("M8L"))
}

// A strand in a wrong hole can stay where the frame can be strung so; the layout's name and fingerprint are said before anybody
// decides. Where it cannot, nothing is asked.
func TestWrongHolesKept(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	done := 0
	for ; !p.After(done).Tight("M7R"); done++ {
	}
	in := func(hole string) cases.Question {
		for _, a := range cases.At(p, done).Wrong().Answers {
			if a.Say != "string in a wrong hole" {
				continue
			}
			for _, s := range a.Next().Answers {
				if !strings.HasPrefix(s.Say, "M7R") {
					continue
				}
				for _, h := range s.Next().Answers {
					if h.Say == hole {
						return h.Next()
					}
				}
			}
		}
		return cases.Question{}
	}
	_, only := in("10HR").Only()
	require.True(t, only, "it is M8R's")
	q := in("7HR")
	require.Len(t, q.Answers, 2)
	keep := q.Answers[1]
	next, err := shop.Mend(p, done, keep.Trouble)
	require.NoError(t, err)
	is := next.After(len(next.Steps))
	require.Equal(t, fmt.Sprintf("keep it: the layout %q, fingerprint %s", "Club sixteen, M7R in 7HR", is.LayoutFingerprint(&next.Terms)), keep.Say)
	require.Equal(t, next.Frame, "Club sixteen, M7R in 7HR")
	require.NotEmpty(t, keep.Words)
}
