package referee

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence/plan"
)

// Where a tail is tied: in the nearest tie-off hole; in what was chosen for it when that is split, and in what was chosen for that when it
// is split too; nowhere as long as nothing was; where a short tail reaches in any case.
func TestWhereATailIsTied(t *testing.T) {
	split := func(hole, choose string) plan.Op {
		return plan.Op{Op: plan.Fault, Fault: plan.FaultSplit, Hole: plan.Hole(hole), Choose: choose, Text: "it split"}
	}
	short := plan.Op{Op: plan.Fault, Fault: plan.FaultShort, Strand: "M3R", Choose: "1TR", Text: "it does not reach"}
	for _, c := range []struct {
		what   string
		ops    []plan.Op
		hole   plan.Hole
		chosen bool
	}{
		{"nearest", nil, "2TR", false},
		{"split", []plan.Op{split("2TR", "")}, "", false},
		{"another was chosen", []plan.Op{split("2TR", "1TR")}, "1TR", true},
		{"in the first hole of its side", []plan.Op{split("2TR", "1HR")}, "1HR", true},
		{"and that one split too", []plan.Op{split("2TR", "1TR"), split("1TR", "1HR")}, "1HR", true},
		{"and nothing was chosen for that", []plan.Op{split("2TR", "1TR"), split("1TR", "")}, "", false},
		{"mended", []plan.Op{split("2TR", "sleeve")}, "2TR", false},
		{"another one is split", []plan.Op{split("1TR", "1HR")}, "2TR", false},
		{"a short tail", []plan.Op{short}, "1TR", true},
		{"a short tail beside a split hole", []plan.Op{split("2TR", "1HR"), short}, "1TR", true},
	} {
		table := from(t, find(t, samples(t), "clamp L head ahead"), 8)
		for _, o := range c.ops {
			table.Step(&plan.Step{Phase: plan.PhaseMains, Ops: []plan.Op{o}})
		}
		s := table.bed.find("M3R")
		pos, chosen := table.goesTo(s, table.bed.hole("4TR"))
		assert.Equal(t, c.hole, name(table, pos), c.what)
		assert.Equal(t, c.chosen, chosen, c.what)
	}
	// Far from where the tail leaves, and in the first hole of the hoop.
	table := from(t, find(t, samples(t), "clamp L head ahead"), 8)
	pos, _ := table.goesTo(table.bed.find("C1"), table.bed.hole("1HL"))
	assert.Equal(t, plan.Hole("4HL"), name(table, pos))
	o := split("2TL", "1HL")
	table.split(&o)
	pos, chosen := table.goesTo(table.bed.find("M3L"), table.bed.hole("4TL"))
	assert.Equal(t, plan.Hole("1HL"), name(table, pos))
	assert.True(t, chosen)
}

func name(t *Table, pos int) plan.Hole {
	if pos == 0 {
		return ""
	}
	return t.bed.name(pos)
}

// Where a step says that a clamp stands is compared in every part: strand, hole, outside, and the neighbour that it grips.
func TestWhereAClampStands(t *testing.T) {
	all := samples(t)
	one, two := from(t, find(t, all, "clamp L head ahead"), 3), from(t, find(t, all, "flying ahead"), 3)
	for _, c := range []struct {
		table *Table
		clamp int
		grip  plan.Grip
		want  bool
	}{
		{one, 1, plan.Grip{Strand: "M1R", Hole: "1TR"}, true},
		{one, 1, plan.Grip{Strand: "M1R", Hole: "11HR"}, true}, // the same hole
		{one, 1, plan.Grip{Strand: "M1R", Hole: "1HR"}, false},
		{one, 1, plan.Grip{Strand: "M1L", Hole: "1TR"}, false},
		{one, 1, plan.Grip{Strand: "M1R", Hole: "1TR", Outside: true}, false},
		{one, 1, plan.Grip{Strand: "M1R", Hole: "1TR", With: "M2R"}, false},
		{one, 1, plan.Grip{}, false},
		{two, 0, plan.Grip{Strand: "M1L", Hole: "1TL", With: "M1R"}, true},
		{two, 0, plan.Grip{Strand: "M1L", Hole: "1TL"}, false},
		{two, 0, plan.Grip{Strand: "M1L", Hole: "1TL", With: "M2L"}, false},
		{two, 0, plan.Grip{Strand: "M1R", Hole: "1TL", With: "M1R"}, false},
	} {
		assert.Equal(t, c.want, c.table.stands(c.table.clamps[c.clamp], &c.grip), c.grip)
	}
}

// A split hole for which nothing was chosen does not count where another tie-off hole serves.
func TestASplitHoleLeavesTheNextOne(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	tieMains("1TR")(&p.Terms)
	table := from(t, p, 8)
	table.split(&plan.Op{Op: plan.Fault, Fault: plan.FaultSplit, Hole: "2TR"})
	pos, chosen := table.goesTo(table.bed.find("M3R"), table.bed.hole("4TR"))
	assert.Equal(t, plan.Hole("1TR"), name(table, pos))
	assert.False(t, chosen)
}

// What speaks against a hole for a knot: a nearer one, be it the first of the hoop; nothing is nearer where none serves; and a run that
// came over it unannounced, be it in the first step.
func TestWhatSpeaksAgainstAHole(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	tieMains("1HL")(&p.Terms)
	table := from(t, p, 8)
	says := func() []string {
		table.found = nil
		op := &plan.Op{Op: plan.Tie, Strand: "M3L", Out: "4HL", Hole: "2TL", Anchor: "M2L"}
		table.site(op, table.bed.find("M3L"), table.bed.hole("4HL"), table.bed.hole("2TL"))
		return words(table.found)
	}
	assert.Equal(t, []string{"1HL is nearer to 4HL than 2TL"}, says())
	table.holes[table.bed.hole("2TL")].hidden = 1
	assert.Equal(t, []string{"2TL lies under a run since step 1, and no note named it before", "1HL is nearer to 4HL than 2TL"}, says())
	table.holes[table.bed.hole("2TL")].hidden = 0
	for s := range table.spans {
		table.spans[s].tense = false
	}
	assert.Len(t, says(), 1, "only that nothing carries it")
}
