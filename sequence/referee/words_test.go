package referee

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// What is wrong with a walk of slack is told with the strands between which the string does not go on, and with how many of each kind.
func TestWalksAreToldInFull(t *testing.T) {
	table := from(t, find(t, samples(t), "clamp L head ahead"), 15)
	for s := range table.spans {
		table.spans[s].tense, table.spans[s].slipped = false, true
	}
	for _, c := range []struct {
		strands []plan.Strand
		want    string
	}{
		{[]plan.Strand{"C1", "C3"}, "the string does not go from C1 on to C3"},
		{[]plan.Strand{"C1", "C2", "C4"}, "the string does not go from C2 on to C4"},
		{[]plan.Strand{"C1", "C2", "C3", "C4", "C5"}, ""},
		{[]plan.Strand{"M2L", "M1L", "M1R"}, "slack is walked past the centre loop before anybody has felt whether M1L is slack"},
	} {
		table.found = nil
		table.bed.terms.Walk = &plan.Walk{Mains: 5, Crosses: 5}
		table.walk(&plan.Op{Op: plan.WalkSlack, Strands: c.strands})
		if c.want == "" {
			assert.Empty(t, table.found)
		} else if assert.Len(t, table.found, 1) {
			assert.Equal(t, c.want, table.found[0].What)
		}
	}
	for _, pressed := range []int{0, 1} { // at either end
		table.found = nil
		e := 2*table.bed.find("M1L") + pressed
		table.ends[e].felt = true
		table.walk(&plan.Op{Op: plan.WalkSlack, Strands: []plan.Strand{"M2L", "M1L", "M1R"}})
		assert.Empty(t, table.found)
		table.ends[e].felt = false
	}
	table.found = nil
	table.bed.terms.Walk = &plan.Walk{Mains: 1, Crosses: 2}
	table.walk(&plan.Op{Op: plan.WalkSlack, Strands: []plan.Strand{"C1", "C2", "C3"}})
	require.Len(t, table.found, 1)
	assert.Contains(t, table.found[0].What, "out of 0 mains and 3 crosses, at most out of 1 and 2")
	table.found = nil
	index := table.bed.find
	assert.False(t, table.asWalked([]int{index("C5"), index("C4")}))
	assert.Equal(t, "slack was walked from C1 on, but what is slack begins at C4 and is 2 strands", table.found[0].What)
}

// A hole chosen for a knot has a main alone in it, to which nothing comes any more.
func TestChosenHolesSuit(t *testing.T) {
	for hole, suits := range map[plan.Hole]bool{"1TR": true, "5TR": false, "3HR": false, "2TR": true} {
		table := from(t, find(t, samples(t), "clamp L head ahead"), 15)
		table.found = nil
		table.suits(&plan.Op{Op: plan.Tie, Strand: "M3R", Hole: hole}, table.bed.find("M3R"), table.bed.hole(hole))
		assert.Equal(t, suits, len(table.found) == 0, hole)
		at := &table.holes[table.bed.hole("1TR")]
		for _, count := range []*int{&at.due, &at.strands} { // one more comes there, or lies there
			*count++
			table.found = nil
			table.suits(&plan.Op{Op: plan.Tie, Strand: "M3R", Hole: "1TR"}, table.bed.find("M3R"), table.bed.hole("1TR"))
			assert.Len(t, table.found, 1)
			*count--
		}
	}
}

// Each part of a view that is compared is: where a clamp stands, on which strand, and what is blocked.
func TestViewsDifferInEachPart(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	for _, change := range []func(*View){
		func(v *View) { v.Blocked = v.Blocked[1:] },
		func(v *View) { v.Clamps[plan.B] = plan.Grip{Strand: "M3R", Hole: "4HR"} },
		func(v *View) { v.Clamps[plan.B] = plan.Grip{Strand: "M2R", Hole: "4TR"} },
		func(v *View) { v.Empty[plan.B] = true },
		func(v *View) { delete(v.Clamps, plan.A) },
	} {
		view := from(t, p, 7).View(nil)
		assert.Empty(t, view.Differs(p.After(7)))
		change(view)
		assert.NotEmpty(t, view.Differs(p.After(7)))
	}
}
