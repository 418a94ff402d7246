package run_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
	"pullcard/sequence/run"
)

// mishap follows the way back from a mishap.
func mishap(t require.TestingT, s run.State, trouble sequence.Trouble) run.State {
	next, err := sequence.Recover(s.Plan(), s.Last(), trouble)
	require.NoError(t, err)
	require.Empty(t, referee.Check(next))
	s, err = s.Apply(run.Event{Kind: run.Mishap, Step: s.Current(), Plan: next})
	require.NoError(t, err)
	return s
}

func misweave(s plan.Strand) sequence.Trouble {
	return sequence.Trouble{Fault: plan.FaultWeave, Strand: s, Text: string(s) + " is woven wrong"}
}

// repairing is a job in which C6 was found woven wrong when cross 8 was pulled, and how long the way back is.
func repairing(t require.TestingT) (s run.State, back int) {
	p, err := build(t, "club-sixteen", sheets(t)["two-piece-skip"])
	require.NoError(t, err)
	s = run.Start(p)
	for s.Last() == 0 || p.Steps[s.Last()-1].Title != "Cross 8" {
		s = done(t, s)
	}
	s = mishap(t, s, misweave("C6"))
	rest := s.Plan().Steps[s.Last():]
	return s, slices.IndexFunc(rest, func(s plan.Step) bool { return s.Base > 0 })
}

// Whoever does not know at any step of a way back whether the last pull was clamped does the last step again: that mends
// what slipped, and the way back goes on where it stood, by the same plan.
func TestRedoInAnOpenRepair(t *testing.T) {
	s, back := repairing(t)
	require.Greater(t, back, 4)
	for range back + 1 {
		table, breaches := referee.From(&s.Plan().Terms, s.Plan().Steps[:s.Last()])
		require.Empty(t, breaches)
		what := run.Slip{What: run.Gripper, Step: s.Last()}
		again, err := s.Apply(run.Event{Kind: run.Redo, Step: what.Step, What: what.What})
		require.NoError(t, err)
		doubt := &slipped{what, s.Plan(), s, table, again}
		require.Empty(t, doubt.played(t, again, run.AgainOps(again, what.Step)), doubt.words())

		after := done(t, again)
		assert.Same(t, s.Plan(), after.Plan())
		assert.Equal(t, s.Current(), after.Current())
		s = done(t, s)
	}
}

// Back over a mishap that was reported on a way back leads to that way back; the mishap is forgotten and it is not.
func TestBackOverAMishapInAnOpenRepair(t *testing.T) {
	first, back := repairing(t)
	for range back {
		s := mishap(t, first, misweave("C3"))
		s = done(t, s)
		for s.Plan() != first.Plan() {
			var err error
			s, err = s.Apply(run.Event{Kind: run.Back, Step: s.Current()})
			require.NoError(t, err)
		}
		assert.Equal(t, first.Last(), s.Last())
		for s.Status() == run.Open {
			s = done(t, s)
		}
		assert.Equal(t, run.Finished, s.Status())
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
