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
		{"a main is pulled at its start, across the loop, where what lies there comes out anyway: what lies beyond it stays tight", "[mains]\nfirst = \"R\"\n", 8, 4, "throat",
			[]string{"9 strands-swapped strand=M1R with=M2R hole=1HR done=4", "11 wrong-tension strand=M1L"},
			"pull M2L 2TL again; unclamp A; clamp A M2L 2TL; release; pull M3R 3HR again; unclamp B; clamp B M2R 2TR; slacken M3R 3HR; unthread M3R 3TR 3HR; pull M2R 2TR again; unclamp B; clamp B M1R 2HR; " +
				"slacken M2R 2TR; unthread M2R 1HR 2TR; pull M1R 2HR again; unclamp B; clamp B M1L 1TL; slacken M1R 2HR; move M1R 2HR 1HR; pull M1L 1TL again; unclamp B; clamp B M1L 1TL; release"},
		{"a knot whose tie-off hole carries no strand goes elsewhere, as far as the sheet allows", "[mains]\nfirst = \"L\"\n[crosses]\nside = \"L\"\nstart = \"skip\"\n[tie]\nreach = 3\n", 6, 8, "throat",
			[]string{"18 wrong-hole strand=M3L hole=4HL choose=keep"}, "waive M3L"},
		{"what the gripper pulls of string that is cut is clamped where the other side would lead too far if it gave way", "[clamps]\nflying = 2\n[mains]\nlead = 1\n", 8, 4, "head",
			[]string{"7 kink strand=M2L choose=new done=3"}, "clamp A M2L 2HL; release; cut M1L; cut M1R; cut M2L; cut M2R"},
	} {
		p, err := sequence.Build(tiny(t, c.mains, c.crosses, c.start), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "24 kg"), kg(t, "52 lb"))
		require.NoError(t, err, c.why)
		does, _ := goesBack(t, p, c.mishaps)
		assert.Equal(t, c.hands, does, c.why)
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

// A centre main that is doubted is let go for the other, which is doubted too and pulled across the loop: what is sound beyond it stays tight.
func TestDoubtedCentreMains(t *testing.T) {
	sheet := technique(t, "name = \"t\"\npieces = 1\naround = true\n[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\n[crosses]\nahead = false\n[redo]\nwalk = { mains = 1, crosses = 2 }\n")
	whole, err := sequence.Build(layout(t, "open-fourteen"), sheet, kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	p := onward(t, whole, []string{"9 clamp-slipped clamp=B extent=base", "15 slip-found-late strand=M1L done=5", "24 slip-found-late strand=M1R"})
	assert.Equal(t, "pull M1L 1TL again; unclamp A; clamp A M1R 1HR; slacken M1L 1TL; pull M1R 1HR again; unclamp A; clamp A M1R 1HR; release", hands(p.Steps[23:]))
}
