package referee

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// Where one side has more mains than the other, lead and place count on each side for itself; what is slack counts for nothing, and the
// turns end where the lead does not let the longer side go on.
func TestSidesWithDifferentNumbersOfMains(t *testing.T) {
	terms := smallTerms()
	terms.Mains = terms.Mains[2:] // one on the left, three on the right
	table, breaches := New(&terms)
	require.Empty(t, breaches)
	for main, outward := range map[plan.Strand]int{"M1L": 0, "M1R": 2, "M2R": 1, "M3R": 0} {
		assert.Equal(t, outward, table.bed.outward(table.bed.find(main)), main)
	}
	for i, lead := range []int{0, 1, 0, 1, 2} {
		assert.Equal(t, lead, table.lead(), "%d tight", i)
		if i < 4 {
			table.tighten(table.bed.find([]plan.Strand{"M1R", "M1L", "M2R", "M3R"}[i]))
		}
	}
	for _, c := range []struct {
		lead int
		then string
		want []int // 0 is left
	}{
		{1, "level", []int{1, 0, 1}}, {2, "level", []int{1, 0, 1, 1}}, {3, "overtake", []int{1, 0, 1, 1}},
	} {
		terms.Lead, terms.Then = c.lead, c.then
		assert.Equal(t, c.want, table.bed.takeTurns(), "%d, %s", c.lead, c.then)
	}
}

// A waiver of a wrong hole leaves the strand there and takes nobody's room; one of another mishap says nothing of the hole.
func TestWhatIsKeptTakesNoRoom(t *testing.T) {
	for _, c := range []struct {
		fault plan.Mishap
		kept  bool
	}{{plan.FaultHole, true}, {"", true}, {plan.FaultWeave, false}} {
		table := from(t, find(t, samples(t), "clamp L head ahead"), 12)
		s, hole := table.bed.find("C3"), table.bed.hole("5HL")
		room := table.holes[hole].strands
		for _, fault := range []plan.Op{{Fault: plan.FaultWeave}, {Fault: plan.FaultHole, Hole: "5HL", From: "6HL"}} {
			fault.Op, fault.Strand, fault.Text = plan.Fault, "C3", "it lies wrong"
			table.fault(&fault)
		}
		assert.Equal(t, room+1, table.holes[hole].strands)
		for range 2 { // once is enough
			table.waive(&plan.Op{Op: plan.Waive, Strand: "C3", Fault: c.fault, Text: "the owner wants it so"})
			assert.Equal(t, c.kept, table.ends[2*s].kept)
			assert.False(t, table.ends[2*s+1].kept, "that end is in its own hole")
			want := room
			if !c.kept {
				want++
			}
			assert.Equal(t, want, table.holes[hole].strands)
		}
	}
}
