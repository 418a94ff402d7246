package cases_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
	"pullcard/sequence/sequencetest"
	"pullcard/sequence/shop"
)

// done does the current step.
func done(t require.TestingT, s progress.State) progress.State {
	next, err := s.Apply(progress.Event{Kind: progress.Done, Step: s.Current()})
	require.NoError(t, err)
	return next
}

// follow takes the way back from a mishap that was reported by an event of a kind.
func follow(t require.TestingT, s progress.State, kind progress.Kind, trouble sequence.Trouble) progress.State {
	next, err := shop.Mend(s.Plan(), s.Last(), trouble)
	require.NoError(t, err)
	s, err = s.Apply(progress.Event{Kind: kind, Step: s.Current(), Plan: next})
	require.NoError(t, err)
	return s
}

func misweave(s plan.Strand) sequence.Trouble {
	return sequence.Trouble{Fault: plan.FaultWeave, Strand: s}
}

// repairing is a job in which C6 was found woven wrong when cross 8 was pulled, and how long the way back is.
func repairing(t require.TestingT) (s progress.State, back int) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	s = progress.Start(p)
	for s.Last() == 0 || p.Steps[s.Last()-1].Title != "Cross 8" {
		s = done(t, s)
	}
	s = follow(t, s, progress.Mishap, misweave("C6"))
	rest := s.Plan().Steps[s.Last():]
	return s, slices.IndexFunc(rest, func(s plan.Step) bool { return s.Base > 0 })
}

// Whoever was not sure at any step of a way back whether a clamp holds has it set again: that mends what slipped, and the
// way back goes on.
func TestRedoInAnOpenRepair(t *testing.T) {
	s, back := repairing(t)
	require.Greater(t, back, 4)
	for range back + 1 {
		for _, c := range plan.Clamps() {
			if !s.Racket().Holds(c) {
				continue
			}
			again := follow(t, s, progress.Redo, sequence.Trouble{Fault: plan.FaultClamp, Clamp: c, Extent: plan.Crept})
			assert.Equal(t, 1, again.Redos(again.Last()))
			for again.Status() == progress.Open {
				again = done(t, again)
			}
			assert.Equal(t, progress.Finished, again.Status())
			assert.Empty(t, referee.Check(again.Plan()))
		}
		s = done(t, s)
	}
}

// Back over a mishap that was reported on a way back leads to that way back; the mishap is forgotten and it is not.
func TestBackOverAMishapInAnOpenRepair(t *testing.T) {
	first, back := repairing(t)
	for range back {
		s := follow(t, first, progress.Mishap, misweave("C3"))
		s = done(t, s)
		for s.Plan() != first.Plan() {
			var err error
			s, err = s.Apply(progress.Event{Kind: progress.Back, Step: s.Current()})
			require.NoError(t, err)
		}
		assert.Equal(t, first.Last(), s.Last())
		for s.Status() == progress.Open {
			s = done(t, s)
		}
		assert.Equal(t, progress.Finished, s.Status())
		assert.Empty(t, referee.Check(s.Plan()), "with the way back to C6 in it")
		assert.Equal(t, 1, unwoven(s.Plan(), "C6"))
		first = done(t, first)
	}
}

// unwoven is how often a strand is drawn out.
func unwoven(p *plan.Plan, strand plan.Strand) (n int) {
	for _, s := range p.Steps {
		for _, o := range s.Ops {
			if o.Op == plan.Unweave && o.Strand == strand {
				n++
			}
		}
	}
	return n
}

// Whatever slips after whatever step, also on the way back from a slip, the steps that follow are the way back's: nothing is
// done twice, back takes it back, and every slip is counted. That the way back is right is shown where it is made.
func TestAnySlipsAreFollowed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, err := sequencetest.Try(t, rapid.SampledFrom(library.Layouts()).Draw(t, "frame"), rapid.SampledFrom(library.Techniques()).Draw(t, "sheet"))
		if err != nil {
			t.Skip(err)
		}
		p := w.Plan
		s, slips := progress.Start(p), 0
		for range rapid.IntRange(1, 3).Draw(t, "slips") {
			for range rapid.IntRange(1, max(s.Steps()-s.Last()-1, 1)).Draw(t, "done") {
				if s.Current() < s.Steps() {
					s = done(t, s)
				}
			}
			c := rapid.SampledFrom(plan.Clamps()).Draw(t, "clamp")
			if s.Racket().Grip(c) == nil {
				continue
			}
			trouble := sequence.Trouble{Fault: plan.FaultClamp, Clamp: c, Extent: rapid.SampledFrom([]plan.Extent{plan.Crept, plan.Base, plan.Gone}).Draw(t, "extent")}
			next, err := sequence.Recover(s.Plan(), s.Last(), trouble)
			require.NoError(t, err)
			before := s
			s, err = s.Apply(progress.Event{Kind: progress.Redo, Step: s.Current(), What: string(c), Plan: next})
			require.NoError(t, err)
			require.Equal(t, before.Last()+1, s.Last(), "that it slipped has happened")
			back, err := s.Apply(progress.Event{Kind: progress.Back, Step: s.Current()})
			require.NoError(t, err)
			require.Same(t, before.Plan(), back.Plan())
			require.Equal(t, before, back, "what is taken back does not count")
			slips++
		}
		for s.Status() == progress.Open {
			s = done(t, s)
		}
		counted := 0
		for n := range s.Steps() {
			counted += s.Redos(n + 1)
		}
		require.Equal(t, slips, counted)
	})
}

// A knot that was kept as it was is told of only while it is there, and a hole that is split for good.
func TestOutcomes(t *testing.T) {
	p := sequencetest.Of(t, "club-sixteen", "two-piece-skip").Plan
	s := progress.Start(p)
	for s.Last() == 0 || !strings.HasPrefix(p.Steps[s.Last()-1].Title, "Tie off the mains, left") {
		s = done(t, s)
	}
	kept := sequence.Trouble{Fault: plan.FaultKnot, Strand: "M8L", Hole: s.Racket().Knots()[len(s.Racket().Knots())-1].Hole, Extent: plan.Crept, Choose: plan.Keep, Text: "it holds"}
	next, err := shop.Mend(s.Plan(), s.Last(), kept)
	require.NoError(t, err)
	e := progress.Event{Kind: progress.Mishap, Step: s.Current(), What: string(kept.Fault), Plan: next}
	s, err = s.Apply(e)
	require.NoError(t, err)
	assert.Equal(t, "left as it is", e.Outcome(s.Racket()))
	s = done(t, s)
	s = follow(t, s, progress.Mishap, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M4L", Where: "bed"})
	for s.Status() == progress.Open {
		s = done(t, s)
	}
	assert.Equal(t, plan.PutRight, e.Outcome(s.Racket()), "it was cut out")
}
