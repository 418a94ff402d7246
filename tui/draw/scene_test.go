package draw

import (
	"cmp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

func TestBlockedHolesAfterTheMains(t *testing.T) {
	// Loops and tie-off runs of the mains cover these holes; it follows from the order of the holes alone.
	for layout, want := range map[string][]plan.Hole{
		"club-sixteen":    {"9HL", "9TL", "7TL", "7TR", "9TR", "9HR"}, // starts at the throat: 9H and 7T under loops, 9T under the ties
		"harbour-sixteen": {"7HL", "9HL", "9TL", "9TR", "9HR", "7HR"}, // starts at the head: 7H and 9T, 9H
		"wide22":          {"12HL", "12HR"},
	} {
		_, p := build(t, layout, "two-piece-skip")
		done := 0
		for i := range p.Steps {
			if p.Steps[i].Phase == plan.PhaseMains {
				done = i + 1
			}
		}
		assert.Equal(t, want, At(p, done, 0).Blocked, layout)
	}
}

// TestBlockedAgreesWithThePlan: a hole that a weave says is blocked is blocked in the picture before it, and the holes
// that a step covers are announced up to two steps before.
func TestBlockedAgreesWithThePlan(t *testing.T) {
	seen := 0
	everyPlan(t, func(where string, _ *patterns.Frame, p *plan.Plan) {
		for i := range p.Steps {
			for _, op := range p.Steps[i].Ops {
				if len(op.Blocked) > 0 {
					assert.Subset(t, At(p, i, i+1).Blocked, op.Blocked, "%s, step %d", where, i+1)
					seen++
				}
				if len(op.Covers) > 0 {
					assert.Subset(t, At(p, i, i+1).Soon, op.Covers, "%s, step %d", where, i+1)
					assert.NotEmpty(t, At(p, i-2, i-1).Soon, "%s, step %d", where, i-1)
					assert.Subset(t, At(p, i+1, i+2).Blocked, op.Covers, "%s, step %d", where, i+2)
					seen++
				}
			}
		}
	})
	assert.Greater(t, seen, sweep.Share(100, 3))
}

func TestSkipStartDefersTheFirstCross(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	laid, pulled := stepOf(t, p, plan.Weave, "C1"), stepOf(t, p, plan.Pull, "C1")
	require.Greater(t, pulled, laid+20)
	for done := range p.Steps {
		s := At(p, done, done+1)
		if done >= laid && done+1 < pulled {
			require.Len(t, s.Deferred, 1, "after step %d", done)
			assert.Equal(t, plan.Deferral{Strand: "C1", Hole: "7HL", Step: pulled}, s.Deferred[0], "after step %d", done)
		} else if done >= laid {
			assert.Empty(t, s.Deferred, "after step %d", done)
		}
	}
}

func TestClampStartDefersTheSecondPull(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-clamp")
	repull := 0
	for i := range p.Steps {
		if op := p.Steps[i].Pull(); op != nil && op.Repull {
			repull = i + 1
		}
	}
	require.NotZero(t, repull)
	assert.Empty(t, At(p, stepOf(t, p, plan.Pull, "C1")-1, 0).Deferred, "before its first pull nothing is put off")
	assert.Equal(t, []plan.Deferral{{Strand: "C1", Hole: "7HL", Repull: true, Step: repull}}, At(p, repull-2, repull-1).Deferred)
	assert.Empty(t, At(p, repull-1, repull).Deferred, "now it is in hand")
	assert.Empty(t, At(p, repull, repull+1).Deferred)
}

func TestTheStepInHand(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	n := stepOf(t, p, plan.Pull, "M3L")
	s := At(p, n-1, n)
	assert.Equal(t, plan.Strand("M3L"), s.Current)
	assert.Equal(t, plan.Hole("3TL"), s.Entry)
	assert.Equal(t, plan.Hole("3HL"), s.Exit)
	assert.Equal(t, plan.Hole("2TL"), s.Grips[plan.A].Hole)
	assert.Equal(t, plan.Hole("3HL"), s.After[plan.A].Hole)

	n = stepOf(t, p, plan.Pull, "C4")
	s = At(p, n-1, n)
	assert.Equal(t, plan.Strand("C6"), s.Next, "C5 is woven already")
	assert.Equal(t, slack, s.span("C5").state)
	assert.Equal(t, taut, s.span("C3").state)
	assert.Equal(t, absent, s.span("C7").state)
	assert.True(t, s.Grips[plan.S].Outside)

	s = At(p, len(p.Steps), 0)
	assert.Empty(t, s.Current+s.Next)
	assert.Empty(t, s.Grips)
	assert.Empty(t, s.Blocked)
	assert.Len(t, s.knots, 4)
}

// TestAFinishedBedIsTaut, every strand of it, whatever was laid how.
func TestAFinishedBedIsTaut(t *testing.T) {
	everyPlan(t, func(where string, _ *patterns.Frame, p *plan.Plan) {
		s := At(p, len(p.Steps), 0)
		for _, list := range [][]span{s.mains, s.crosses} {
			for _, c := range list {
				assert.Equal(t, taut, c.state, "%s, %s", where, c.name)
				assert.True(t, s.joined(&c, 0) && s.joined(&c, 1), "%s, %s", where, c.name)
			}
		}
	})
}

// TestFaces compares the faces of the crosses as they lie with the checkerboard of the bed.
func TestFaces(t *testing.T) {
	for _, layout := range layouts() {
		f, p := build(t, layout, "two-piece-clamp")
		s := At(p, len(p.Steps), 0)
		for j, c := range f.Crosses {
			want := make([]face, len(f.Columns()))
			for _, column := range f.Met(c) {
				want[column-1] = under
				if patterns.Over(c.Number, column) {
					want[column-1] = over
				}
			}
			assert.Equal(t, want, s.crosses[j].over, "%s %s", layout, c)
		}
	}
}

// flying is the start of a small bed by hand: one pull loads both first mains, which no plan with fixed clamps does,
// and the long side runs round the outer main.
func flying() *plan.Plan {
	main := func(name plan.Strand, n string, side string) plan.Chord {
		return plan.Chord{Strand: name, Ends: [2]plan.Hole{plan.Hole(n + "H" + side), plan.Hole(n + "T" + side)}}
	}
	cross := func(name plan.Strand, h string) plan.Chord {
		return plan.Chord{Strand: name, Ends: [2]plan.Hole{plan.Hole(h + "L"), plan.Hole(h + "R")}}
	}
	return &plan.Plan{
		Terms: plan.Terms{
			HolesLeft: 7, HolesRight: 7,
			Mains:   []plan.Chord{main("M2L", "3", "L"), main("M1L", "1", "L"), main("M1R", "1", "R"), main("M2R", "3", "R")},
			Crosses: []plan.Chord{cross("C1", "2H"), cross("C2", "4H"), cross("C3", "2T")},
		},
		Steps: []plan.Step{
			{N: 1, Ops: []plan.Op{
				{Op: plan.Thread, Strand: "M1L", From: "1HL", To: "1TL"},
				{Op: plan.Thread, Strand: "M1R", From: "1HR", To: "1TR", After: "M1L"},
				{Op: plan.ClampOn, Clamp: plan.S, Strand: "M1R", Hole: "1TR", Outside: true},
			}},
			{N: 2, Ops: []plan.Op{
				{Op: plan.Pull, Strand: "M1L", Hole: "1TL"},
				{Op: plan.ClampOn, Clamp: plan.A, Strand: "M1L", Hole: "1TL"},
			}},
			{N: 3, Ops: []plan.Op{
				{Op: plan.Thread, Strand: "M2R", From: "3TR", To: "3HR", After: "M1R", Covers: []plan.Hole{"2TR"}},
				{Op: plan.Pull, Strand: "M2R", Hole: "3HR"},
			}},
			{N: 4, Ops: []plan.Op{
				{Op: plan.Tie, Strand: "C3", Out: "2TL", Hole: "3TL", Anchor: "M2L"},
				{Op: plan.Weave, Strand: "C3", From: "2TL", To: "2TR", First: plan.Under},
			}},
		},
	}
}

func TestOnePullForTwoMains(t *testing.T) {
	p := flying()
	s := At(p, 1, 2)
	assert.Equal(t, slack, s.span("M1R").state)
	s = At(p, 2, 3)
	assert.Equal(t, taut, s.span("M1L").state)
	assert.Equal(t, taut, s.span("M1R").state, "the pull goes on to the starting clamp")
	assert.Equal(t, []plan.Hole{"2TR"}, s.Soon)
	assert.Equal(t, []plan.Hole{"2TR"}, At(p, 3, 0).Blocked)
}

func TestStartingKnot(t *testing.T) {
	s := At(flying(), 3, 4)
	assert.Equal(t, plan.Strand("C3"), s.Current)
	require.Len(t, s.knots, 1)
	assert.True(t, s.knots[0].inHand)
	c := s.span("C3")
	assert.True(t, s.joined(c, 0), "its start is tied")
	assert.False(t, s.joined(c, 1), "its end is open")
	assert.Equal(t, []face{apart, under, over, apart}, c.over, "it does not meet the outer mains")
	assert.Contains(t, s.runs, run{from: s.ring.at("1TR"), to: s.ring.at("3TR"), after: "M1R", strand: "M2R"})
}

func TestRing(t *testing.T) {
	r := ring{[2]int{7, 6}}
	assert.Equal(t, 1, r.at("1HL"))
	assert.Equal(t, 7, r.at("7HL"))
	assert.Equal(t, 7, r.at("1TL"))
	assert.Equal(t, 13, r.at("1HR"))
	assert.Equal(t, 8, r.at("1TR"))
	for _, bad := range []plan.Hole{"", "8HL", "7HR", "3H", "x"} {
		assert.Zero(t, r.at(bad), bad)
	}
	for place := 1; place <= r.total(); place++ {
		assert.Equal(t, place, r.at(r.name(place)))
	}
	assert.Equal(t, plan.Hole("4HL"), r.name(4), "the middle one counts from the head")
	assert.Equal(t, []int{13, 1}, r.between(12, 2), "the short way, past the head")
	assert.Equal(t, []int{1, 13}, r.between(2, 12))
	assert.Empty(t, r.between(3, 4))
	assert.Equal(t, 4, ring{[2]int{4, 4}}.steps(1, 5), "with the count where both ways are as far")
	all := []int{1, 2, 3, 4, 5}
	for i := range 5 * 5 * 5 * 5 {
		a, b := [2]int{all[i%5], all[i/5%5]}, [2]int{all[i/25%5], all[i/125]}
		met := "" // the ends in the order of the ring
		for _, place := range all {
			for _, end := range a {
				if place == end {
					met += "a"
				}
			}
			for _, end := range b {
				if place == end {
					met += "b"
				}
			}
		}
		apart := a[0] != b[0] && a[0] != b[1] && a[1] != b[0] && a[1] != b[1]
		assert.Equal(t, apart && (met == "abab" || met == "baba"), r.cross(a, b), "%v, %v", a, b)
	}
}

// between are the places strictly between two, the short way round.
func (r ring) between(from, to int) (out []int) {
	d := r.steps(from, to)
	for i := 1; i < max(d, -d); i++ {
		out = append(out, r.step(from, i*cmp.Compare(d, 0)))
	}
	return out
}

// A step is shown as far as it can be done.
func TestAStepThatCannotBeDone(t *testing.T) {
	f := frame(t, "club-sixteen")
	p := bedPlan(f, Planned{})
	thread := p.Steps[0].Ops[0]
	bad := plan.Op{Op: "whistle"}
	s := At(&plan.Plan{Terms: p.Terms, Steps: []plan.Step{{Ops: []plan.Op{bad, thread}}}}, 0, 1)
	assert.Equal(t, absent, s.span(thread.Strand).state)
	s = At(&plan.Plan{Terms: p.Terms, Steps: []plan.Step{{Ops: []plan.Op{thread, bad}}}}, 0, 1)
	assert.Equal(t, slack, s.span(thread.Strand).state)
}
