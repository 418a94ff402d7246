package sequence_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// after is how many steps are done when one of a title is.
func after(t *testing.T, p *plan.Plan, title string) int {
	for i, s := range p.Steps {
		if s.Title == title {
			return i + 1
		}
	}
	require.Fail(t, "no step "+title)
	return 0
}

// A strand that stays in a wrong hole makes another layout, named after the old one, with the fingerprint that a layout has whose
// file says so; what is still to come is strung by it.
func TestWrongHoleIsKeptAsALayout(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := after(t, p, "Main 7 right")
	at := sequence.Trouble{Fault: plan.FaultHole, Strand: "M7R", Hole: "7HR", Choose: plan.Keep}
	next := proven(t, p, done, at)
	assert.Equal(t, "Club sixteen, M7R in 7HR", next.Frame)
	assert.NotEqual(t, p.Plan, next.Plan)

	said := p.Terms // a layout that has it so from the start
	said.Mains = slices.Clone(said.Mains)
	said.Mains[14].Ends[0] = "7HR"
	require.Equal(t, plan.Strand("M7R"), said.Mains[14].Strand)
	is := next.After(len(next.Steps))
	assert.Equal(t, plan.NewRacket(&said).LayoutFingerprint(&said), is.LayoutFingerprint(&next.Terms))
	assert.NotEqual(t, plan.NewRacket(&p.Terms).LayoutFingerprint(&p.Terms), is.LayoutFingerprint(&next.Terms))
	text := fmt.Sprintf("left as it is: M7R is in 7HR; the layout is now \"Club sixteen, M7R in 7HR\", fingerprint %s", is.LayoutFingerprint(&next.Terms))
	require.Len(t, is.Waived(), 1)
	assert.Equal(t, text, is.Waived()[0].Text)
	assert.False(t, is.Waived()[0].Illegal())

	written, err := json.Marshal(next)
	require.NoError(t, err)
	var back plan.Plan
	require.NoError(t, json.Unmarshal(written, &back))
	assert.Equal(t, is.LayoutFingerprint(&next.Terms), back.After(len(back.Steps)).LayoutFingerprint(&back.Terms), "also when it is read back")

	// The layout stays when its strand comes out and is laid anew.
	broke := proven(t, next, after(t, next, "Weave cross 3"), sequence.Trouble{Fault: plan.FaultBreak, Strand: "M7R", Where: plan.InBed})
	assert.Equal(t, next.Frame, broke.Frame)
	assert.Equal(t, plan.Hole("7HR"), broke.After(len(broke.Steps)).Span("M7R").Out)
}

// What was decided stays decided when something else goes wrong before the step is done that says so.
func TestKeptThoughMoreGoesWrong(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := after(t, p, "Main 7 right")
	next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultHole, Strand: "M7R", Hole: "7HR", Choose: plan.Keep})
	next = proven(t, next, done+1, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.A, Extent: plan.Crept})
	assert.Equal(t, "Club sixteen, M7R in 7HR", next.Frame)
	require.Len(t, next.After(len(next.Steps)).Waived(), 1)
}

// Where there is no such layout, a strand in a wrong hole is put right, unless it is tied at both ends.
func TestWrongHoleThatIsNoLayout(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := after(t, p, "Main 7 right")
	for hole, why := range map[plan.Hole]string{
		"10HR": "10HR is the hole of M8R and has no room", "7HL": "7HL is on the other side", "16HR": "in 16HR M7R would pass the strand beside it",
	} {
		_, err := sequence.Recover(p, done, sequence.Trouble{Fault: plan.FaultHole, Strand: "M7R", Hole: hole, Choose: plan.Keep})
		assert.EqualError(t, err, "M7R is in "+string(hole)+": it cannot stay there: "+why+"; put it right")
	}
	woven := after(t, p, "Cross 19")
	_, err := sequence.Recover(p, woven, sequence.Trouble{Fault: plan.FaultHole, Strand: "M8R", Hole: "12HR", Choose: plan.Keep})
	assert.NoError(t, err, "the mains are tied: it stays by name")
	_, err = sequence.Recover(p, woven, sequence.Trouble{Fault: plan.FaultHole, Strand: "C19", Hole: "8TR", Choose: plan.Keep})
	assert.NoError(t, err)
}

// A first cross that is tied at both ends stays in its wrong hole by name: its start is not begun anew.
func TestFirstCrossStaysByName(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := after(t, p, "Inspect the bed")
	next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultHole, Strand: "C1", Hole: "4HL", Choose: plan.Keep})
	assert.Equal(t, p.Frame, next.Frame)
	assert.Equal(t, len(p.Steps)+3, len(next.Steps), "the bed is looked at once more, and nothing is pulled")
	assert.True(t, next.After(len(next.Steps)).Waived()[0].Illegal())
}

// A sleeve that mends a split hole is put in on a card of its own while nothing tight is in the hole; under tight string it is looked at.
func TestSleeves(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Weave cross 1" })
	titled := func(hole plan.Hole) string {
		next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultSplit, Hole: hole, Choose: plan.Sleeve})
		return next.Steps[done+1].Title
	}
	assert.Equal(t, "Sleeve into 14HR", titled("14HR"))
	assert.Equal(t, "Look at 3HR", titled("3HR"), "M3R is tight in it")
	said := func(hole plan.Hole, more ...string) string {
		next := onward(t, proven(t, p, done, sequence.Trouble{Fault: plan.FaultSplit, Hole: hole, Choose: plan.Sleeve}), more)
		e := progress.Event{Kind: progress.Mishap, Step: done + 1, Plan: next}
		return e.Outcome(next.After(len(next.Steps)))
	}
	assert.Equal(t, "a sleeve is in it", said("14HR"))
	assert.Equal(t, "the hole stays split", said("3HR"))
	assert.Equal(t, "a sleeve is in it", said("3HR", fmt.Sprintf("%d string-broke strand=M3R where=bed", done+4)), "M3R came out of it and was fed anew")
}

// Where the string parts in the jaws of a flying clamp, the main beside it is let go of too: there is no other side to feel.
func TestNoOtherSideInAPair(t *testing.T) {
	f := layout(t, "feather-twentyone")
	p, err := sequence.Build(f, technique(t, "name = \"t\"\n[clamps]\nflying = 2\n"), kg(t, "11 kg"), kg(t, "11 kg"))
	require.NoError(t, err)
	r := p.After(after(t, p, "Mains 1, both together"))
	require.Equal(t, plan.Strand("M1R"), r.Grip("A").With)
	o := plan.Op{Op: plan.Fault, Fault: plan.FaultBreak, Strand: "M1L", Where: plan.AtJaw, Choose: plan.Regrip}
	assert.Empty(t, r.Loop(&o))
}

// A split hole is a fact of the frame: when the mains are strung anew the strand through it comes into a sleeve, and the knot goes where it was
// sent before.
func TestSplitHoleStaysSplit(t *testing.T) {
	p := onward(t, build(t, "club-sixteen", "two-piece-clamp"), []string{"21 hole-split hole=8TR", "40 string-broke strand=M3R where=bed"})
	e := progress.Event{Kind: progress.Mishap, Step: 21, Plan: p}
	assert.Equal(t, "its knot went into 6TR, a sleeve is in it", e.Outcome(p.After(len(p.Steps))), "M8R is fed through it once more")
	tied := 0
	for _, s := range p.Steps {
		for _, o := range s.Ops {
			assert.False(t, o.Op == plan.Tie && o.Hole == "8TR", "step %d: %s", s.N, s.Title)
			if o.Op == plan.Tie && o.Strand == "M8R" {
				assert.Equal(t, plan.Hole("6TR"), o.Hole)
				tied++
			}
		}
	}
	assert.Equal(t, 2, tied)
}
