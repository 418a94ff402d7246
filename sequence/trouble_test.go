package sequence_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// What a script says of a mishap is read to the word, and what it says wrongly is named with what would be right.
func TestParseTrouble(t *testing.T) {
	done, trouble, err := sequence.ParseTrouble("12 clamp-slipped strand=C5 with=C4 hole=3HL clamp=B where=jaw extent=gone choose=keep done=2")
	assert.NoError(t, err)
	assert.Equal(t, 11, done)
	assert.Equal(t, sequence.Trouble{Fault: plan.FaultClamp, Strand: "C5", With: "C4", Hole: "3HL", Clamp: plan.B, Where: plan.AtJaw, Extent: plan.Gone, Choose: "keep", Ops: 2}, trouble)
	done, trouble, err = sequence.ParseTrouble("1 gripper-slipped done=0")
	assert.NoError(t, err)
	assert.Equal(t, [2]int{0, 0}, [2]int{done, trouble.Ops})
	for text, want := range map[string]string{
		"":                           `"" says no step and kind; write "12 misweave strand=C5"`,
		"misweave":                   `"misweave" says no step and kind; write "12 misweave strand=C5"`,
		"0 misweave":                 `"0" is no step; write its number, from 1`,
		"1x misweave":                `"1x" is no step; write its number, from 1`,
		"x1 misweave":                `"x1" is no step; write its number, from 1`,
		"1 misweaf strand=C5":        `no mishap is called "misweaf"; did you mean "misweave"?`,
		"1 misweave strand":          `"strand" is no key=value`,
		"1 misweave strand=":         `"strand=" is no key=value`,
		"1 gripper-slipped done=-1":  `done=-1 is no number of ops`,
		"1 gripper-slipped done=1.5": `done=1.5 is no number of ops`,
		"1 gripper-slipped done=x":   `done=x is no number of ops`,
		"1 misweave cross=C5":        `a mishap has no "cross"; it has strand, with, hole, clamp, where, extent, choose and done`,
	} {
		_, _, err := sequence.ParseTrouble(text)
		assert.EqualError(t, err, want)
	}
}

// A mishap that cannot have been is refused in words that say what would be right.
func TestTroublesThatCannotBe(t *testing.T) {
	p := tinyPlan(t, "", 4)
	laid := 0 // the first step after which C1 is pulled and another cross lies
	for r := p.After(laid); !r.Tight("C1") || !r.Laid("C2"); r = p.After(laid) {
		laid++
	}
	tied := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Tie() != nil }) + 1
	var on plan.Clamp
	for _, c := range plan.Clamps() {
		if p.After(laid).Grip(c) != nil {
			on = c
		}
	}
	for _, c := range []struct {
		done  int
		t     sequence.Trouble
		wrong string
	}{
		{laid, sequence.Trouble{}, "no mishap is named"},
		{tied + 1, sequence.Trouble{Fault: plan.FaultBreak, Strand: p.Steps[tied].Tie().Strand, Where: plan.AtJaw, Choose: plan.Regrip}, "no knot ties it"},
		{-1, sequence.Trouble{Fault: plan.FaultGripper}, fmt.Sprintf("the plan has steps 1 to %d", len(p.Steps))},
		{len(p.Steps) + 1, sequence.Trouble{Fault: plan.FaultGripper}, fmt.Sprintf("the plan has steps 1 to %d", len(p.Steps))},
		{-1, sequence.Trouble{Fault: plan.FaultSplit, Hole: "3HL"}, fmt.Sprintf("the plan has steps 1 to %d", len(p.Steps))},
		{len(p.Steps) + 1, sequence.Trouble{Fault: plan.FaultSplit, Hole: "3HL"}, fmt.Sprintf("the plan has steps 1 to %d", len(p.Steps))},
		{len(p.Steps), sequence.Trouble{Fault: plan.FaultFrame, Ops: 1}, "has not so many ops"},
		{len(p.Steps), sequence.Trouble{Fault: plan.FaultSplit, Hole: "3HL"}, "supports are loose already"},
		{len(p.Steps) - 1, sequence.Trouble{Fault: plan.FaultSplit, Hole: "3HL", Ops: 2}, "supports are loose already"},
		{laid, sequence.Trouble{Fault: plan.FaultClamp, Clamp: "X"}, `there is no clamp "X"; write clamp=A, B or S`},
		{laid, sequence.Trouble{Fault: plan.FaultClamp, Clamp: on, Extent: "far"}, `a clamp does not slip by "far"; write extent=crept, base or gone`},
		{0, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.A}, "clamp A is free"},
		{laid, sequence.Trouble{Fault: plan.FaultGripper}, "the gripper does not pull; say with done=N"},
		{laid, sequence.Trouble{Fault: plan.FaultLate, Strand: "C4"}, "C4 does not lie in the frame yet"},
		{laid, sequence.Trouble{Fault: plan.FaultLate, Strand: "C2"}, "C2 is not pulled"},
		{laid, sequence.Trouble{Fault: plan.FaultLate}, "no strand is named; write strand=M3L"},
		{laid, sequence.Trouble{Fault: plan.FaultKink, Strand: "M9L"}, `the frame has no strand "M9L"`},
		{laid, sequence.Trouble{Fault: plan.FaultKink, Strand: "C4", Choose: plan.New}, "C4 does not lie in the frame yet"},
		{laid, sequence.Trouble{Fault: plan.FaultKink, Strand: "C1", Choose: plan.Past}, "C1 was pulled with its kink, which cannot be worked past any more; write choose=new"},
		{laid, sequence.Trouble{Fault: plan.FaultWeave, Strand: "M1L"}, "M1L is a main, it is not woven"},
		{laid, sequence.Trouble{Fault: plan.FaultHole, Strand: "C1", Hole: "99HL"}, `the frame has no hole "99HL"; write hole= where the strand is`},
		{laid, sequence.Trouble{Fault: plan.FaultHole, Strand: "C1"}, `the frame has no hole ""`},
		{laid, sequence.Trouble{Fault: plan.FaultHole, Strand: "C1", Hole: "4HL"}, "C1 is in 4HL, as far as the plan knows"},
		{laid, sequence.Trouble{Fault: plan.FaultHole, Strand: "C1", Hole: "4HR"}, "C1 is in 4HR, as far as the plan knows"},
		{laid, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "C1", With: "C1"}, `C1 cannot be swapped with "C1"`},
		{laid, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "C1", With: "M1L"}, `C1 cannot be swapped with "M1L"`},
		{laid, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "C1", With: "C9"}, `C1 cannot be swapped with "C9"`},
		{laid, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "C1", With: "C2", Hole: "1HL"}, `C1 is not swapped at "1HL" alone`},
		{laid, sequence.Trouble{Fault: plan.FaultSwapped, Strand: "C1", With: "C2", Hole: "4HL", Choose: plan.Keep}, `C1 is not swapped at "4HL" alone`},
		{laid, sequence.Trouble{Fault: plan.FaultBreak, Strand: "C1", Where: "middle"}, `string does not break at "middle"; write where=gripper, jaw, hole or bed`},
		{laid, sequence.Trouble{Fault: plan.FaultKnot, Hole: "1HL"}, `no knot that holds sits in "1HL"`},
		{laid, sequence.Trouble{Fault: plan.FaultSplit, Hole: "99HL"}, `the frame has no hole "99HL"`},
		{laid, sequence.Trouble{Fault: plan.FaultClamp, Clamp: on, Extent: plan.Gone, With: "M3L"}, "no corner holds M3L: "},
		{laid, sequence.Trouble{Fault: plan.FaultPause}, "at least one and not all"},
		{laid, sequence.Trouble{Fault: plan.FaultPause, Ops: len(p.Steps[laid].Ops)}, "at least one and not all"},
		{-1, sequence.Trouble{Fault: plan.FaultPause, Ops: 1}, "at least one and not all"},
		{len(p.Steps), sequence.Trouble{Fault: plan.FaultPause, Ops: 1}, "at least one and not all"},
	} {
		_, err := sequence.Recover(p, c.done, c.t)
		assert.ErrorContains(t, err, c.wrong, "%d %+v", c.done, c.t)
	}
	proven(t, p, len(p.Steps), sequence.Trouble{Fault: plan.FaultFrame})
	sleeved := proven(t, p, 0, sequence.Trouble{Fault: plan.FaultSplit, Hole: "3HL"})
	mount := func(s plan.Step) bool { return s.Title == "Mount the frame" }
	assert.Equal(t, p.Steps[slices.IndexFunc(p.Steps, mount)].Ops, sleeved.Steps[slices.IndexFunc(sleeved.Steps, mount)].Ops, "the frame comes on as the sheet has it")
	next, err := sequence.Recover(p, 0, sequence.Trouble{Fault: plan.FaultPause, Ops: 1})
	assert.NoError(t, err, "the first step can be interrupted")
	assert.Len(t, next.Steps, len(p.Steps)+1)
	last := len(p.Steps) - 1
	_, err = sequence.Recover(p, last, sequence.Trouble{Fault: plan.FaultPause, Ops: 1})
	assert.Equal(t, len(p.Steps[last].Ops) > 1, err == nil)
}

// Each mishap has words of its own.
func TestTroublesInWords(t *testing.T) {
	for want, trouble := range map[string]sequence.Trouble{
		"clamp A let go": {Fault: plan.FaultClamp, Clamp: plan.A}, "clamp B crept": {Fault: plan.FaultClamp, Clamp: plan.B, Extent: plan.Crept},
		"clamp S slid on its base": {Fault: plan.FaultClamp, Clamp: plan.S, Extent: plan.Base}, "clamp S let go": {Fault: plan.FaultClamp, Clamp: plan.S, Extent: plan.Gone},
		"clamp A let go; M1R is still tight": {Fault: plan.FaultClamp, Clamp: plan.A, Extent: plan.Gone, With: "M1R"},
		"the gripper slipped":                {Fault: plan.FaultGripper}, "C2 slipped, found late": {Fault: plan.FaultLate, Strand: "C2"},
		"C2 is woven wrong": {Fault: plan.FaultWeave, Strand: "C2"}, "C2 is in 4HL": {Fault: plan.FaultHole, Strand: "C2", Hole: "4HL"},
		"C2 and C3 are swapped":                            {Fault: plan.FaultSwapped, Strand: "C2", With: "C3"},
		"C2 and C3 are swapped, where C2 belongs into 4HL": {Fault: plan.FaultSwapped, Strand: "C2", With: "C3", Hole: "4HL"},
		"C2 broke at the gripper":                          {Fault: plan.FaultBreak, Strand: "C2", Where: plan.AtGripper},
		"C2 broke at the jaw":                              {Fault: plan.FaultBreak, Strand: "C2", Where: plan.AtJaw},
		"C2 broke in its hole":                             {Fault: plan.FaultBreak, Strand: "C2", Where: plan.AtHole},
		"C2 broke in the bed":                              {Fault: plan.FaultBreak, Strand: "C2", Where: plan.InBed},
		"the knot in 4HL slipped":                          {Fault: plan.FaultKnot, Hole: "4HL"},
		"C2 has a kink or a nick":                          {Fault: plan.FaultKink, Strand: "C2"},
		"from C2 on pulled at a wrong setting":             {Fault: plan.FaultTension, Strand: "C2"},
		"the tail of C2 is too short":                      {Fault: plan.FaultShort, Strand: "C2"},
		"hole 4HL is split":                                {Fault: plan.FaultSplit, Hole: "4HL"},
		"the frame is cracked":                             {Fault: plan.FaultFrame},
		"interrupted":                                      {Fault: plan.FaultPause},
		"in words of their own":                            {Fault: plan.FaultPause, Text: "in words of their own"},
	} {
		assert.Equal(t, want, trouble.Words())
	}
}
