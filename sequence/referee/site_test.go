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
