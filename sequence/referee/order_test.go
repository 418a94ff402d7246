package referee

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// That nobody looked at the printed range is said once, where string is first handled; a frame without one needs no look.
func TestThePrintedRangeIsMissedOnce(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	p.Steps[0].Ops = p.Steps[0].Ops[1:]
	assert.Len(t, Check(p), 1)
	p.Terms.PrintedRange = ""
	assert.Empty(t, Check(p))
}

// Where crosses begin is asked as long as nothing went wrong; and only crosses are woven ahead, a main may follow one that is not pulled.
func TestTheOrderOfLaying(t *testing.T) {
	all := samples(t)
	says := func(table *Table, op plan.Op) []string {
		table.found = nil
		table.checkLayOrder(&op, table.bed.find(op.Strand))
		return words(table.found)
	}
	table := from(t, find(t, all, "clamp L head ahead"), 10)
	begins := plan.Op{Op: plan.Weave, Strand: "C1", From: "3HR", To: "3HL"}
	assert.Equal(t, []string{"the crosses' string starts on side L, not at 3HR"}, says(table, begins))
	table.astray = true
	assert.Empty(t, says(table, begins))

	p := find(t, all, "around in turn")
	table = from(t, p, 7)
	table.Step(&plan.Step{Phase: plan.PhaseMains, Ops: p.Steps[7].Ops[:1]})
	assert.Empty(t, says(table, plan.Op{Op: plan.Thread, Strand: "M3L", After: "C5"}))
	assert.Equal(t, []string{"C4 is woven before C5 is pulled, and the technique does not weave ahead"},
		says(table, plan.Op{Op: plan.Weave, Strand: "C4", After: "C5"}))
}

// From a strand with two free tails the string goes on from the nearer one, from the exit where both are as near.
func TestFromWhichTailTheStringGoesOn(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	table := from(t, p, 1)
	table.Step(&plan.Step{Phase: plan.PhaseMains, Ops: p.Steps[1].Ops[:1]})
	s := table.bed.find("M1L")
	for to, want := range map[plan.Hole]int{"1HR": 2 * s, "5HL": 2 * s, "6HL": 2*s + 1, "5TL": 2*s + 1, "1TR": 2*s + 1} {
		assert.Equal(t, want, table.tail(s, table.bed.hole(to)), to)
	}
}

// A scrap stays in a shared hole until the second strand is through.
func TestAScrapStaysForTheSecondStrand(t *testing.T) {
	table, breaches := New(&find(t, samples(t), "shared ahead").Terms)
	require.Empty(t, breaches)
	for hole, strands := range map[plan.Hole]int{"4HL": 2, "5HL": 1} {
		table.announce("leave scraps in " + string(hole))
		at := table.bed.hole(hole)
		for n := range strands {
			assert.True(t, table.holes[at].scrap, "%s before strand %d", hole, n+1)
			table.comes(at)
		}
		assert.False(t, table.holes[at].scrap, hole)
	}
}

// Where a main is kept in a hole further down, crosses that were to come above meet it no more: what lies may be woven again as it lay,
// on either side, and not on the other face.
func TestWovenAgainBesideAMainThatIsKept(t *testing.T) {
	p := find(t, samples(t), "clamp L throat ahead")
	for _, side := range []string{"L", "R"} {
		for face, fine := range map[string]bool{"under": true, "over": false} {
			kept := "# crosses\nfault hole M3R 5HR from 4HR\nwaive M3R from 4HR to 5HR\n"
			if side == "L" {
				kept = mirror(kept)
			}
			between := write(t, p.Terms, kept+"unweave C3 6HL 6HR\nweave C3 6HL 6HR "+face+" 6 after C4", p.Totals).Steps
			q := spliced(p, 12, between, 13)
			found := from(t, q, 12).Step(&q.Steps[12])
			if fine {
				assert.Empty(t, found, side)
			} else if assert.Len(t, found, 1, side) {
				assert.Contains(t, found[0].What, "over and under do not alternate")
			}
		}
	}
}
