package sequence_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// ended says whether an op ends what a mishap did: the strand that lay wrong is out, the one that slipped let go.
func ended(trouble sequence.Trouble, o plan.Op) bool {
	switch o.Op {
	case plan.Unthread, plan.Unweave, plan.Cut:
		return o.Strand == trouble.Strand
	case plan.Slacken:
		return o.Strand == trouble.Strand && trouble.Fault == plan.FaultLate
	}
	return false
}

// requireRight holds that a plan tells every mishap that was reported, in turn, and puts each right after it was told: a
// strand that lay wrong is taken out, one that slipped let go, and into a hole that split no knot goes.
func requireRight(t require.TestingT, p *plan.Plan, reported []sequence.Trouble) {
	var all []plan.Op
	for _, s := range p.Steps {
		all = append(all, s.Ops...)
	}
	for _, trouble := range reported {
		told := slices.IndexFunc(all, func(o plan.Op) bool { return o.Op == plan.Fault && o.Text == trouble.Text })
		require.GreaterOrEqual(t, told, 0, "%s: not told", trouble.Text)
		all = all[told+1:]
		switch trouble.Fault {
		case plan.FaultWeave, plan.FaultHole, plan.FaultLate:
			require.True(t, slices.ContainsFunc(all, func(o plan.Op) bool { return ended(trouble, o) }), "%s: not put right", trouble.Text)
		case plan.FaultSplit:
			require.False(t, slices.ContainsFunc(all, func(o plan.Op) bool { return o.Op == plan.Tie && o.Hole == trouble.Hole }), "%s: a knot goes there", trouble.Text)
		}
	}
}

func misweave(s plan.Strand) sequence.Trouble {
	return sequence.Trouble{Fault: plan.FaultWeave, Strand: s, Text: string(s) + " is woven wrong"}
}

// after is the number of steps that are done when the step of a title is the last one done.
func after(p *plan.Plan, title string) int {
	return slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == title }) + 1
}

// A cross is woven wrong; on the way back to it another mishap is reported: the way back still goes as far as the first.
func TestRecoverWithARepairOpen(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	done := after(p, "Cross 8")
	first := proven(t, p, done, misweave("C6"))
	done += 3 // the mishap, cross 8 undone, cross 9 drawn out
	require.Equal(t, "Undo: Weave cross 9", first.Steps[done-1].Title)
	next := proven(t, first, done, misweave("C7"))
	requireRight(t, next, []sequence.Trouble{misweave("C6"), misweave("C7")})
	assert.Equal(t, []string{"C7 is woven wrong", "Undo: Cross 7", "Undo: Weave cross 8", "Undo: Cross 6", "Undo: Weave cross 7", "Undo: Weave cross 6",
		"Weave cross 6", "Weave cross 7", "Cross 6"}, titles(next, done, done+9))
}

// wayBack is the number of steps that are done when the last step that only puts something right is the last one done.
func wayBack(p *plan.Plan) int {
	for i := len(p.Steps); i > 0; i-- {
		if p.Steps[i-1].Base == 0 {
			return i
		}
	}
	return 0
}

// ahead is how far beyond the way back a second mishap is tried, rare which share of them.
const (
	ahead = 6
	rare  = 7
)

// Whatever goes wrong at any step of a way back, also before the first of it is done, or while the work is done again, what
// it was for is still put right.
func TestRecoverInAnOpenRepair(t *testing.T) {
	for _, c := range []struct {
		frame, sheet string
		done         string
		trouble      sequence.Trouble
	}{
		{"club-sixteen", "two-piece-skip", "Cross 8", misweave("C6")},
		{"club-sixteen", "two-piece-skip", "Cross 4", misweave("C1")},
		{"harbour-sixteen", "two-piece-clamp", "Cross 5", misweave("C2")},
		{"dense-eighteen", "two-piece-knot", "Cross 6", sequence.Trouble{Fault: plan.FaultLate, Strand: "C3", Text: "C3 slipped, found late"}},
		{"long-twenty", "two-piece-clamp", "Main 6 left", sequence.Trouble{Fault: plan.FaultHole, Strand: "M3R", Hole: "4HR", Text: "M3R is in 4HR"}},
		{"club-sixteen", "two-piece-skip", "Main 6 left", sequence.Trouble{Fault: plan.FaultLate, Strand: "M4L", Text: "M4L slipped, found late"}},
		{"harbour-sixteen", "two-piece-clamp", "Main 4 left", sequence.Trouble{Fault: plan.FaultLate, Strand: "M2L", Text: "M2L slipped, found late"}},
		{"long-twenty", "two-piece-clamp", "Main 6 left", sequence.Trouble{Fault: plan.FaultSplit, Hole: "8TR", Text: "tie-off hole 8TR is split"}},
	} {
		p, n := build(t, c.frame, c.sheet), 0
		done := after(p, c.done)
		first := proven(t, p, done, c.trouble)
		for ; done <= wayBack(first)+ahead; done++ {
			for i, second := range sequence.Troubles(first, done) {
				if (i+done)%rare > 0 || second.Fault == plan.FaultFrame {
					continue
				}
				if _, err := sequence.Recover(first, done, second); err != nil {
					require.ErrorContains(t, err, "no tie-off hole")
					continue
				}
				requireRight(t, proven(t, first, done, second), []sequence.Trouble{c.trouble, second})
				n++
			}
		}
		t.Logf("%s by %s, %s: %d second mishaps", c.frame, c.sheet, c.trouble.Text, n)
		assert.Greater(t, n, 20)
	}
}

// A mishap that was reported by mistake and again is put right once, and a frame that is cracked stays so.
func TestRecoverOnceMore(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	done := after(p, "Cross 8")
	first := proven(t, p, done, misweave("C6"))
	again := proven(t, first, done+2, misweave("C6"))
	assert.Equal(t, "C6 is woven wrong", again.Steps[done+2].Title)
	assert.Equal(t, titles(first, done+2, len(first.Steps)), titles(again, done+3, len(again.Steps)))

	crack := sequence.Trouble{Fault: plan.FaultFrame, Text: "the frame is cracked"}
	bare := proven(t, p, 1, crack)
	for done := 1; done < len(bare.Steps); done++ {
		assert.Equal(t, []sequence.Trouble{crack}, sequence.Troubles(bare, done))
		for _, trouble := range []sequence.Trouble{crack, {Fault: plan.FaultSplit, Hole: "8TR", Text: "tie-off hole 8TR is split"}} {
			_, err := sequence.Recover(bare, done, trouble)
			assert.EqualError(t, err, trouble.Text+": the frame is cracked already and comes off")
		}
	}
}
