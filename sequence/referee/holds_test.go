package referee

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// at is an end of a strand in a table, by the hole.
func at(t testing.TB, table *Table, strand plan.Strand, hole plan.Hole) int {
	e := table.end(strand, hole, ruleStock)
	require.NotEqual(t, none, e, "%s %s", strand, hole)
	return e
}

// words are what a table found, without where.
func words(found []Breach) (out []string) {
	for _, b := range found {
		out = append(out, b.What)
	}
	return out
}

// The gripper draws through the corners between it and what holds, on whichever side of a run that is, and leaves those beyond.
func TestCornersGiveWayUpToWhatHolds(t *testing.T) {
	line := []struct {
		strand plan.Strand
		hole   plan.Hole
	}{{"M3R", "4TR"}, {"M3R", "4HR"}, {"M2R", "2HR"}, {"M2R", "2TR"}, {"M1R", "1TR"}, {"M1R", "1HR"}, {"M1L", "1HL"}, {"M1L", "1TL"}}
	for _, c := range []struct {
		what            string
		gripper, holder int // places on the line
		outward         bool
		gone            int // the first that stays
	}{
		{"nothing holds", 0, none, false, len(line)},
		{"what holds is on the side of the gripper", 0, 3, false, 4},
		{"what holds is on the far side of a run", 0, 4, false, 5},
		{"the loop is drawn, and nothing holds", 5, none, true, len(line)},
		{"the loop is drawn up to what holds", 5, 6, true, 7},
		{"a clamp keeps the pull from the strand", 0, 0, false, 0},
	} {
		table := from(t, find(t, samples(t), "clamp L head ahead"), 8)
		for i := range table.clamps {
			if table.clamps[i].on() {
				table.off(i)
			}
		}
		place := func(i int) int { return at(t, table, line[i].strand, line[i].hole) }
		for i := range line {
			table.ends[place(i)].corner = true
			table.hold(place(i))
		}
		table.gripper, table.pulling.outward = place(c.gripper), c.outward
		table.hold(table.gripper)
		if c.holder != none {
			table.clamps[0] = clamp{end: place(c.holder), pair: none}
			table.hold(place(c.holder))
		}
		table.drawsThrough()
		for i := c.gripper; i < len(line); i++ {
			assert.Equal(t, i >= c.gone, table.ends[place(i)].corner, "%s: %s %s", c.what, line[i].strand, line[i].hole)
		}
	}
}

// What stands on a strand at an end, and how much holds there that is no corner.
func TestWhatHoldsAtAnEnd(t *testing.T) {
	table := from(t, find(t, samples(t), "clamp L head ahead"), 3)
	first := at(t, table, "M1L", "1HL") // A, and S behind it
	assert.Equal(t, 2, table.ownClamps(first))
	assert.Equal(t, 1, table.ownClamps(at(t, table, "M1R", "1TR")))
	assert.Zero(t, table.ownClamps(at(t, table, "M1R", "1HR")))
	assert.Equal(t, 2, table.sound(first))
	table.ends[first].corner = true
	table.hold(first)
	assert.Equal(t, 2, table.sound(first))
	table.fault(&plan.Op{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: plan.A, Text: "it slid"})
	assert.Equal(t, 1, table.ownClamps(first))
}

// A clamp comes away with a cut only where it could not come off before: it holds tension, and nothing else holds that.
func TestClampsThatComeAway(t *testing.T) {
	all := samples(t)
	for _, c := range []struct {
		what, sample string
		steps        int
		state        func(*Table)
		cut          plan.Strand
		says         []string
	}{
		{"a clamp and S behind it hold together", "clamp L head ahead", 3, func(*Table) {}, "M1L", nil},
		{"a clamp let go, and S behind it holds", "clamp L head ahead", 3, func(table *Table) {
			table.fault(&plan.Op{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: plan.A, Text: "it slid"})
		}, "M1L", []string{"A still grips M1L 1HL"}},
		{"a clamp stands in the middle of what is tight, and no cut frees it", "clamp L head ahead", 5, func(table *Table) {
			table.off(0)
			table.clamps[1].end = at(t, table, "M1R", "1TR")
			table.hold(table.clamps[1].end)
		}, "M1R", nil},
		{"a flying clamp holds the strand beside that is tight", "flying ahead", 3, func(table *Table) {
			s := table.bed.find("M1L")
			table.spans[s] = span{laid: true}
			for _, e := range ends(s) {
				table.ends[e].tense = false
			}
		}, "M1R", nil},
	} {
		table := from(t, find(t, all, c.sample), c.steps)
		c.state(table)
		table.found = nil
		table.comesAway(table.bed.find(c.cut))
		assert.Equal(t, c.says, words(table.found), c.what)
	}
}

// With the strand in its jaws that is cut a flying clamp comes away: the other one, which it alone held at an end, goes slack.
func TestAFlyingClampComesAwayWithACut(t *testing.T) {
	p := find(t, samples(t), "flying ahead")
	between := write(t, p.Terms, "# mains\nclamp S M1R 1HR\nfault break M1L\ncut M1L\nunclamp S\ncut M1R", p.Totals).Steps
	q := spliced(p, 2, between, 2)
	q.Totals.Pulls++
	assert.Empty(t, Check(q))
}

// What a clamp that creeps takes from string in the gripper is not made good by the pull that began before, only by one that begins after.
func TestACreepUnderThePull(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	for script, low := range map[string]bool{
		"pull M2L 2HL repull\nfault clamp B extent crept\nunclamp A\nclamp A M2L 2HL\nrelease": true,
		"fault clamp B extent crept\npull M2L 2HL repull\nunclamp A\nclamp A M2L 2HL\nrelease": false,
	} {
		table := from(t, p, 6)
		step := write(t, p.Terms, "# mains\n"+script, p.Totals).Steps[0]
		table.Step(&step)
		assert.Equal(t, low, table.View(nil).Strands["M2L"].Low, script)
	}
}

// Between steps the gripper pulls on where the work was interrupted, as long as nobody handles string; and an empty step says nothing.
func TestTheGripperHangsOnWhereTheWorkIsInterrupted(t *testing.T) {
	p := find(t, samples(t), "clamp L head ahead")
	pulls := "# mains\nthread M2L 2TL 2HL after M1L\npull M2L 2HL\nunclamp A\nfault interrupted\n"
	for then, says := range map[string][]string{
		"# mains\nnote the owner calls":               nil,
		"# mains\n":                                   nil,
		"# mains\nfault interrupted":                  nil,
		"# mains\nstraighten M2L\nfault interrupted":  nil,
		"# mains\nstraighten M2L":                     {"the gripper still pulls M2L when the step is over"},
		"# mains\nclamp A M2L 2HL\nnote the owner is": {"the gripper still pulls M2L when the step is over"},
	} {
		q := spliced(p, 5, write(t, p.Terms, pulls+then, p.Totals).Steps, 7)
		table := from(t, q, 6)
		assert.Equal(t, says, words(table.Step(&q.Steps[6])), then)
	}
}

// A re-pull draws mains tight that slipped with its own cross; another one has nothing to draw over them.
func TestARepullOverSlackMains(t *testing.T) {
	table := from(t, find(t, samples(t), "clamp L head ahead"), 12)
	cross, main := table.bed.find("C2"), table.bed.find("M1L")
	table.spans[main].tense, table.spans[main].slipped = false, true
	for _, slipped := range []bool{true, false} {
		table.found, table.spans[cross].slipped = nil, slipped
		table.overMains(&plan.Op{Op: plan.Pull, Strand: "C2", Repull: true}, cross)
		assert.Equal(t, slipped, len(table.found) == 0, table.found)
	}
}

// A knot that was felt to hold and only gave a little stays what it was; any other that is said to slip does.
func TestAKnotThatIsKept(t *testing.T) {
	for _, choose := range []string{"", "keep"} {
		for _, extent := range []plan.Extent{"", plan.Crept} {
			table := from(t, find(t, samples(t), "clamp L head ahead"), 9)
			table.fault(&plan.Op{Op: plan.Fault, Fault: plan.FaultKnot, Strand: "M3R", Hole: "2TR", Choose: choose, Extent: extent, Text: "it gave"})
			assert.Equal(t, choose != "keep" || extent != plan.Crept, table.knots[0].slipped, "%q %q", choose, extent)
		}
	}
}

// A starting knot is of the strand for which it was tied, until that one comes from it.
func TestWhoseStartingKnotItIs(t *testing.T) {
	p := find(t, samples(t), "knot L head ahead")
	table := from(t, p, 11)
	assert.Equal(t, 2, table.startOf(table.bed.find("C1")))
	assert.Equal(t, none, table.startOf(table.bed.find("C2")))
	assert.Equal(t, none, table.startOf(table.bed.find("M3R")))
	table = from(t, p, 12)
	assert.Equal(t, none, table.startOf(table.bed.find("C1")))
}
