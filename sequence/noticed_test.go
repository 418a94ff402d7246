package sequence_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// What hands do, by the trade's rules, after mishaps of which few drawn at random are so: each was found where the code, broken at one
// place to try the tests, did otherwise.
func TestWaysBackByHandOfFewMishaps(t *testing.T) {
	for _, c := range []struct {
		why, sheet     string
		mains, crosses int
		start          string
		mishaps        []string
		hands          string
	}{
		{"the newest main of the side that leads is let go first: neither side comes to lead by two pulls", "[mains]\nfirst = \"L\"\nlead = 1\nthen = \"level\"\n", 4, 4, "head",
			[]string{"9 clamp-slipped clamp=B extent=crept", "12 slip-found-late strand=M1L", "20 wrong-hole strand=M1R hole=2HL done=1"},
			"clamp A M1L 1TL; release; unthread M2L 2TL 2HL; pull M2R 2HR again; unclamp B; clamp B M1R 1TR; slacken M2R 2HR; unthread M2R 2TR 2HR; " +
				"pull M1L 1TL again; unclamp A; clamp A M1R 2HL; slacken M1L 1TL; unthread M1L 1HL 1TL; pull M1R 1TR again; unclamp B; slacken M1R 1TR; unclamp A; unthread M1R 2HL 1TR"},
		{"what the gripper pulls at the start of string that is cut is eased: no clamp is set on it before", "[crosses]\nclamps = 1\n", 4, 4, "head",
			[]string{"20 strands-swapped strand=C2 with=C3 hole=4HR done=1"}, "release; cut C3; cut C2; inspect C1 3HL; unclamp S; cut C4; cut C1"},
		{"a main under crosses that lie is cut with them, from the centre, though the crosses' string could be drawn out whole", "", 8, 4, "throat",
			[]string{"26 kink strand=C4", "31 slip-found-late strand=M3L done=3"}, "release; cut M1L; cut C2; cut M1R; cut C1; unclamp B; cut M2L; cut M2R; cut M3L; cut M3R; cut M4L; cut M4R"},
		{"what is felt to be tight is held by a clamp that stands where the string is tight on both sides, and did not slip",
			"[crosses]\nclamps = 1\nfrom = \"throat\"\nside = \"R\"\n[redo]\nwalk = { mains = 3, crosses = 2 }\n", 4, 7, "throat",
			[]string{"29 slip-found-late strand=C5", "35 wrong-tension strand=M2L extent=high", "62 clamp-slipped with=C4 clamp=S extent=gone done=1"},
			"clamp B C2 4HR; release; unclamp A; clamp A C4 6HL; unclamp S; walk C5, C6; pull C6 4TL again; unclamp A; clamp A C6 4TL; release; pull C7 2TR again; clamp S C7 2TR; release; unclamp A"},
	} {
		p, err := sequence.Build(tiny(t, c.mains, c.crosses, c.start), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "24 kg"), kg(t, "52 lb"))
		require.NoError(t, err, c.why)
		p = onward(t, p, c.mishaps)
		last, _, err := sequence.ParseTrouble(c.mishaps[len(c.mishaps)-1])
		require.NoError(t, err)
		assert.Equal(t, c.hands, hands(p.Steps[last:]), c.why)
	}
}

// A knot's hole over which a run comes to lie in a way back has the scrap that was told: nobody is told there that none is in it.
func TestScrapOfALaterKnot(t *testing.T) {
	sheet := technique(t, "name = \"t\"\n[mains]\nfirst = \"L\"\nboost = 2\n[crosses]\nside = \"R\"\nstart = \"skip\"\n")
	whole, err := sequence.Build(tiny(t, 4, 3, "throat"), sheet, kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	p := proven(t, whole, 10, sequence.Trouble{Fault: plan.FaultHole, Strand: "M2R", Hole: "1HR", Choose: plan.Keep})
	var told []string
	for _, s := range p.Steps[10:] {
		for _, o := range s.Ops {
			if strings.Contains(o.Text, "scrap") && strings.Contains(o.Text, "3TR") {
				told = append(told, o.Text)
			}
		}
	}
	assert.Equal(t, []string{plan.LeaveScrap + "3TR before this run covers it: a knot comes there later"}, told)
}

// Where the string goes around, a job goes on from any step as it was planned: as many crosses lie below the outer main as were to.
func TestGoesOnAround(t *testing.T) {
	p := build(t, "open-fourteen", "one-piece-around")
	for done := range len(p.Steps) - 1 { // the bed is looked at again before the frame comes off
		next, err := sequence.GoOn(p, done)
		require.NoError(t, err)
		require.Equal(t, titles(p, done, len(p.Steps)), titles(next, done, len(next.Steps)))
	}
}
