package sequence_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// proven recovers and lets the referee play the whole of it: what was done, the recovery, the rest.
func proven(t require.TestingT, p *plan.Plan, done int, trouble sequence.Trouble) *plan.Plan {
	next, err := sequence.Recover(p, done, trouble)
	require.NoError(t, err, "after step %d: %s", done, trouble.Text)
	breaches := referee.Check(next)
	if len(breaches) > 0 {
		require.Empty(t, breaches, "after step %d: %s\n%s", done, trouble.Text, spelled(next, done))
	}
	require.Equal(t, p.Steps[:done], next.Steps[:done], "what was done stays")
	return next
}

func spelled(p *plan.Plan, done int) string {
	var b strings.Builder
	for i := max(done-2, 0); i < min(len(p.Steps), done+14); i++ {
		s := &p.Steps[i]
		fmt.Fprintf(&b, "%d %s: %s\n", s.N, s.Phase, s.Title)
		for _, o := range s.Ops {
			fmt.Fprintf(&b, "\t%s\n", o.Words())
		}
	}
	return b.String()
}

// sample is which share of the mishaps is tried, another one after every step.
const sample = 3

// Whatever goes wrong after any step of a racket, there is a way back that the referee accepts and that ends in a strung
// racket; where the only tie-off hole is split, the error says so.
func TestRecoverAnywhere(t *testing.T) {
	for _, c := range []struct{ frame, sheet string }{
		{"club-sixteen", "two-piece-skip"}, {"harbour-sixteen", "two-piece-clamp"}, {"dense-eighteen", "two-piece-knot"},
	} {
		p := build(t, c.frame, c.sheet)
		n := 0
		for done := 1; done < len(p.Steps); done++ {
			for i, trouble := range sequence.Troubles(p, done) {
				if (i+done)%sample > 0 && trouble.Fault != plan.FaultFrame && trouble.Fault != plan.FaultBreak {
					continue
				}
				if _, err := sequence.Recover(p, done, trouble); err != nil && trouble.Fault == plan.FaultSplit {
					require.ErrorContains(t, err, "no tie-off hole")
					continue
				}
				proven(t, p, done, trouble)
				n++
			}
		}
		t.Logf("%s by %s: %d recoveries", c.frame, c.sheet, n)
	}
}

// Any layout, any setting, one mishap after another.
func TestRecoverAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, _, err := patterns.ReadLayout("any", []byte(anyLayout(t)))
		require.NoError(t, err)
		sheet := anySheet(t)
		if rapid.Bool().Draw(t, "one piece") {
			sheet = strings.Replace(sheet, "name = \"t\"\n", fmt.Sprintf("name = \"t\"\npieces = 1\naround = %v\n", rapid.Bool().Draw(t, "around")), 1)
		}
		p, err := sequence.Build(f, technique(t, sheet), kg(t, "24 kg"), kg(t, "52 lb"))
		if err != nil {
			t.Skip(err.Error())
		}
		done := 0
		var reported []sequence.Trouble
		for range rapid.IntRange(1, 3).Draw(t, "mishaps") {
			until := len(p.Steps) - 1
			if open := wayBack(p); open > done && len(reported) > 0 && rapid.Bool().Draw(t, "on the way back") {
				until = min(open, until)
			}
			done = rapid.IntRange(done, until).Draw(t, "done")
			troubles := sequence.Troubles(p, done)
			trouble := rapid.SampledFrom(troubles).Draw(t, "trouble")
			if trouble.Fault == plan.FaultFrame {
				proven(t, p, done, trouble)
				return
			}
			next, err := sequence.Recover(p, done, trouble)
			if err != nil {
				require.ErrorContains(t, err, "no tie-off hole", "the last hole that would have served is split")
				return
			}
			require.Empty(t, referee.Check(next), "%s", spelled(next, done))
			reported = append(reported, trouble)
			requireRight(t, next, reported)
			p = next
		}
	})
}

func titles(p *plan.Plan, from, to int) (out []string) {
	for _, s := range p.Steps[from:to] {
		out = append(out, s.Title)
	}
	return out
}

// A misweave found k crosses later: only the crosses laid from it come out, the newest first.
func TestRecoverMisweave(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	done := 0
	for p.Steps[done].Title != "Cross 8" {
		done++
	}
	done++ // cross 8 is pulled, 9 is woven
	next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultWeave, Strand: "C7", Text: "C7 is woven wrong"})
	assert.Equal(t, []string{"C7 is woven wrong", "Undo: Cross 8", "Undo: Weave cross 9", "Undo: Cross 7", "Undo: Weave cross 8", "Undo: Weave cross 7",
		"Weave cross 7", "Weave cross 8", "Cross 7", "Weave cross 9", "Cross 8", "Weave cross 10", "Cross 9"}, titles(next, done, done+13))
	first := proven(t, p, done, sequence.Trouble{Fault: plan.FaultWeave, Strand: "C1", Text: "C1 is woven wrong"})
	assert.Equal(t, []string{"C1 is woven wrong", "Undo: Double back: weave cross 1", "Double back: weave cross 1"}, titles(first, done, done+3),
		"the first cross hangs at the other end of the string")
}

// A slip found late: pulls are undone newest first and done again, nothing is drawn out.
func TestRecoverLate(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	next := proven(t, p, 11, sequence.Trouble{Fault: plan.FaultLate, Strand: "M2L", Text: "M2L slipped, found late"})
	assert.Equal(t, []string{"M2L slipped, found late", "Undo: Main 3 left", "Undo: Main 2 left", "Main 2 left", "Main 3 left", "Main 4 left"}, titles(next, 11, 17))
	assert.Empty(t, ops(&plan.Plan{Steps: next.Steps[11:16]}, plan.Unthread))
	assert.Empty(t, ops(&plan.Plan{Steps: next.Steps[14:16]}, plan.Thread))
}

// A main whose own tail still hangs free is pulled again even when the other side is tied already.
func TestRecoverLateBesideATiedSide(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	next := proven(t, p, 21, sequence.Trouble{Fault: plan.FaultLate, Strand: "M8L", Text: "M8L slipped, found late"})
	assert.Equal(t, []string{"M8L slipped, found late", "Undo: Main 8 left", "Main 8 left", "Tie off the mains, left"}, titles(next, 21, 25))
}

// Common practice of the trade: when crosses of two pieces break, the mains stay; when mains break, all comes out, from
// the centre outwards, mains and crosses in turn.
func TestRecoverBreaks(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	done := 40
	crosses := proven(t, p, done, sequence.Trouble{Fault: plan.FaultBreak, Strand: "C8", Text: "the crosses broke"})
	for _, o := range ops(crosses, plan.Cut) {
		assert.Equal(t, "C", string(o.Strand[:1]))
	}
	assert.Len(t, ops(&plan.Plan{Steps: crosses.Steps[done:]}, plan.Weave), 19)
	assert.Empty(t, ops(&plan.Plan{Steps: crosses.Steps[done:]}, plan.Thread))
	mains := proven(t, p, done, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M8L", Text: "the mains broke"})
	assert.Equal(t, "M1L, C5, M1R, C4, M2L, C6", words(&plan.Plan{Steps: mains.Steps[done : done+3]}, plan.Cut, func(o plan.Op) string { return string(o.Strand) }))
	assert.Len(t, ops(&plan.Plan{Steps: mains.Steps[done:]}, plan.Thread), 16)
}

// A tie-off hole proves split: the next nearest serves, or the error names why none does.
func TestRecoverSplitHole(t *testing.T) {
	p := build(t, "long-twenty", "two-piece-clamp")
	next := proven(t, p, 5, sequence.Trouble{Fault: plan.FaultSplit, Hole: "8TR", Text: "tie-off hole 8TR is split"})
	assert.Equal(t, "M8R 10TR>6HR", strings.Split(words(next, plan.Tie, tied), ", ")[0])
	q := build(t, "harbour-sixteen", "two-piece-clamp")
	_, err := sequence.Recover(q, 5, sequence.Trouble{Fault: plan.FaultSplit, Hole: "8HR", Text: "tie-off hole 8HR is split"})
	assert.ErrorContains(t, err, "no tie-off hole for the tail of M8R")
}

// A cracked frame: everything comes out evenly, the frame comes off, no cause is named.
func TestRecoverCrackedFrame(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	next := proven(t, p, 30, sequence.Trouble{Fault: plan.FaultFrame, Text: "the frame is cracked"})
	assert.Equal(t, "Take the cracked frame off", next.Steps[len(next.Steps)-1].Title)
	assert.Zero(t, next.Totals.Knots)
}

// Every way of stringing recovers.
func TestRecoverOnePiece(t *testing.T) {
	for _, name := range library.Layouts() {
		f := layout(t, name)
		for _, sheet := range []string{whole, strings.Replace(whole, "[mains]", "around = true\n[mains]", 1)} {
			p, err := sequence.Build(f, technique(t, sheet), kg(t, "24 kg"), kg(t, "24 kg"))
			if err != nil {
				continue
			}
			for done := 3; done < len(p.Steps); done += 7 {
				for i, trouble := range sequence.Troubles(p, done) {
					if (i+done)%sample > 0 {
						continue
					}
					if _, err := sequence.Recover(p, done, trouble); err != nil && trouble.Fault == plan.FaultSplit {
						require.ErrorContains(t, err, "no tie-off hole")
						continue
					}
					proven(t, p, done, trouble)
				}
			}
		}
	}
}
