package bench

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

// What the card says of pulls is what the referee knows, on every step of whatever plan, with ways back in it.
func TestCardsAreTrue(t *testing.T) {
	plans, table := map[[2]string]*plan.Plan{}, act.Written()
	rapid.Check(t, sweep.Some(4, func(t *rapid.T) {
		key := [2]string{rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet")}
		if _, built := plans[key]; !built {
			plans[key] = builtIn(t, key)
		}
		p := plans[key]
		if p == nil {
			t.Skip("the frame cannot be strung so")
		}
		for range rapid.IntRange(0, 2).Draw(t, "mishaps") {
			done := rapid.IntRange(1, len(p.Steps)-1).Draw(t, "done")
			q := cases.At(p, done).Wrong()
			a := q.Answers[0]
			for {
				if a = q.Answers[rapid.IntRange(0, len(q.Answers)-1).Draw(t, q.Ask)]; a.Next == nil {
					break
				}
				q = a.Next()
			}
			if next, err := shop.Mend(p, done, a.Trouble); err == nil && !next.Cracked() {
				p = next
			}
		}
		for n := range p.Steps {
			_, breaches := referee.Look(p, n+1)
			require.Empty(t, breaches)
			before, s := p.After(n), &p.Steps[n]
			after := before.Clone()
			after.Step(s)
			f := faceOf(p, n+1, act.Of(p, n+1, before), after, table)
			if o := s.Pull(); o != nil && s.Tie() == nil {
				require.Equal(t, []string{string(o.Strand), string(o.Hole), o.Tension}, []string{f.strand, f.to, f.tension}, "step %d", n+1)
				require.Equal(t, after.Other(o.Strand, o.Hole), plan.Hole(f.from))
			}
		}
	}))
}

func builtIn(t require.TestingT, key [2]string) *plan.Plan {
	w, _ := sequencetest.Try(t, key[0], key[1], "[tension]\nmains = \"24 kg\"\n")
	return w.Plan
}
