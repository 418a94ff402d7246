package sequence_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// What hands do where one mishap comes on top of another, or where few sheets lead to, by the trade's rules; and the first step of the
// technique that follows.
func TestWaysBackByHandOfFewSheets(t *testing.T) {
	flying := "[clamps]\nflying = 2\n"
	for _, c := range []struct {
		why, sheet     string
		mains, crosses int
		start          string
		mishaps        []string
		hands, then    string
	}{
		{"a clamp that crept gives its strand to the free one, which holds there alone: the pull that follows sets the other", "pieces = 1\n[mains]\nfirst = \"L\"\nlead = 3\nshort = \"R\"\n[crosses]\nclamps = 1\n", 6, 5, "throat",
			[]string{"7 clamp-slipped with=M1L clamp=B extent=gone", "9 clamp-slipped clamp=A extent=crept done=1"},
			"pull M1L 1HL again; unclamp A; clamp B M1L 1HL; release", "Main 1 right: pull M1R 1HR again; unclamp S; clamp A M1R 1HR; release"},
		{"a clamp that crept where the string is tight on both sides by now stays off once it is clean", "", 4, 5, "head",
			[]string{"21 clamp-slipped clamp=B extent=crept done=1"}, "clamp A C4 4TL; release; unclamp B", "Cross 5"},
		{"all that is cut out already needs no other way out", "[crosses]\nside = \"R\"\n", 6, 8, "throat",
			[]string{"16 kink strand=M3R", "17 wrong-tension strand=M1R extent=high choose=undo", "20 hole-split hole=2HL choose=sleeve done=1"},
			"fault 2HL; cut M2L; cut C1; unclamp A; cut M2R; cut M3L; cut M3R", "Feed the centre mains"},
		{"no flying clamp holds the cross that is still tight alone: corners and weave do", flying + "[crosses]\nfrom = \"throat\"\nclamps = 1\n", 6, 3, "head",
			[]string{"18 gripper-slipped with=C1 done=2"}, "pull C2 5HR again; clamp B C2 5HR; release; pull C3 4TL again; clamp A C3 4TL; release; unclamp B", "Tie off the start of cross 3"},
		{"the starting knot slips while a main is kept in a wrong hole, and its cross lies no more: nothing is clamped for it", "[crosses]\nfrom = \"throat\"\nstart = \"knot\"\n", 6, 5, "head",
			[]string{"21 knot-slipped hole=3TL done=1", "29 wrong-hole strand=M1R hole=1HL choose=keep done=2"}, "waive M1R; untie C5 4TL 3TL", "Starting knot for cross 5"},
		{"what was to be left as it is is not, where its piece broke", "[mains]\nfirst = \"L\"\n", 4, 4, "head",
			[]string{"6 strands-swapped strand=M1R with=M1L choose=keep done=5", "7 string-broke strand=M1L where=gripper done=1"},
			"inspect M1L 1TL; unclamp A; inspect M1R 1TR; unclamp B; cut M1L; cut M1R", "Feed the centre mains"},
		{"slack is pulled on from a tied tail, over no more strands than it is walked, and the crosses that a bight would be drawn back through come out before", "pieces = 1\n[mains]\nfirst = \"L\"\n[crosses]\nfrom = \"throat\"\nclamps = 1\nfirst = \"under\"\n", 4, 5, "throat",
			[]string{"19 gripper-slipped done=3", "36 clamp-slipped with=M2L clamp=B extent=gone"},
			"clamp S M2L 2HL; unclamp B; unweave C2 4HL 4HR; unweave C3 5HR 5HL; pull M1L 1TL again; clamp A M1L 1TL; release; unclamp S; " +
				"walk M1R, M2R, C5, C4; pull C4 4TR again; clamp B C4 4TR; release; unclamp A", "Weave cross 3"},
		{"mains that are to be pulled again behind trimmed tails are cut out; crosses of which none is tight are drawn out before, and their string is kept", "[mains]\nlead = 1\n[crosses]\nstart = \"skip\"\nfrom = \"throat\"\n", 8, 7, "throat",
			[]string{"17 wrong-tension strand=M1R choose=again"}, "inspect C6 6TR; unclamp S; unweave C7 4TR 4TL; unweave C6 6TR 6TL; cut M1L; cut M1R; cut M2L; cut M2R; cut M3L; cut M3R; cut M4L; cut M4R", "Feed the centre mains"},
		{"a centre main that was let go holds its loop: it is pulled and not fed", "[mains]\nlead = 1\n", 8, 5, "head",
			[]string{"11 wrong-tension strand=M1L extent=high"},
			"pull M3L 3TL again; unclamp A; clamp A M2L 2HL; slacken M3L 3TL; pull M3R 3TR again; unclamp B; clamp B M2R 2HR; slacken M3R 3TR; pull M2L 2HL again; unclamp A; clamp A M1L 1TL; slacken M2L 2HL; " +
				"pull M2R 2HR again; unclamp B; clamp B M1R 1TR; slacken M2R 2HR; pull M1L 1TL again; unclamp A; clamp A M1R 1HR; slacken M1L 1TL", "Main 1 left"},
		{"what the gripper pulls gives way when the clamp is gone that held what lies behind, which is clamped before", flying + "[mains]\nfirst = \"L\"\nlead = 1\nboost = 2\n[crosses]\nstart = \"knot\"\n", 6, 6, "head",
			[]string{"7 slip-found-late strand=M1R done=5", "8 clamp-slipped clamp=B extent=gone done=1"},
			"unclamp B; clamp B M1R 1TR; slacken M2R 2HR; pull M1R 1TR again; unclamp B; clamp B M1R 1TR; release", "Main 2 right"},
		{"the clamp at the loop holds nothing when the main beyond is out of its wrong hole", "[mains]\nlead = 3\nboost = 0\n[crosses]\nfrom = \"throat\"\nstart = \"knot\"\n", 8, 6, "head",
			[]string{"5 string-broke strand=M1L where=gripper", "13 wrong-hole strand=M1R hole=5HR done=5"}, "unthread M1R 5HR 1TR; inspect M1L 1HL; unclamp A", "Feed the centre mains"},
		{"a tied start keeps no cross beyond it from being let go", flying + "[mains]\nfirst = \"L\"\nlead = 1\n[crosses]\nside = \"R\"\n", 6, 4, "head",
			[]string{"19 wrong-tension strand=C2 done=3"}, "pull C3 5TL again; clamp B C2 5HR; unclamp A; slacken C3 5TL; pull C2 5HR again; unclamp B; slacken C2 5HR", "Crosses 1 and 2 together"},
		{"of the centre mains one lies: the other is fed from it, and no ends are made level", "[mains]\nfirst = \"L\"\nlead = 3\n", 6, 7, "head",
			[]string{"6 wrong-hole strand=M1L hole=3HL done=4"}, "release; pull M1L 1TL again; unclamp A; clamp A M1R 1HR; slacken M1L 1TL; unthread M1L 3HL 1TL", "Feed the centre mains: thread M1L 1HL 1TL"},
		{"a centre main whose other end slipped is pulled from that end, as the sheet has it, and its tight neighbour beyond the loop stays", "[mains]\nfirst = \"L\"\nlead = 1\nboost = 0\n[crosses]\nfrom = \"throat\"\nclamps = 1\n", 6, 3, "head",
			[]string{"6 string-broke strand=M1R where=gripper done=1", "7 too-short strand=M1L done=1"}, "", "Main 1 right: pull M1R 1TR"},
		{"a first cross in a wrong hole, whose start is tied, has its other end moved and nothing cut", "[clamps]\nflying = 2\n[mains]\nfirst = \"R\"\nlead = 3\nboost = 2\n[crosses]\nfrom = \"throat\"\nside = \"R\"\n", 4, 5, "throat",
			[]string{"19 misweave strand=C1 choose=keep done=1", "21 wrong-hole strand=C5 hole=1HL"}, "slacken C2 4HR; unweave C1 3HR 3HL; unweave C2 4HL 4HR; pull C3 5HL again; clamp B C4 4TR; unclamp A; slacken C3 5HL; unweave C3 5HR 5HL; pull C4 4TR again; unclamp B; " +
				"slacken C4 4TR; unweave C4 4TL 4TR; move C5 1HL 2TL", ""},
		{"slack is pulled on from a tied main, past the loop and into the crosses; what a bight is drawn back through beyond the loop counts for no main of this side", "pieces = 1\n[mains]\nfirst = \"L\"\nlead = 1\nboost = 0\nshort = \"R\"\n[crosses]\nclamps = 1\nahead = false\n[redo]\nwalk = { mains = 1, crosses = 1 }\n", 4, 4, "head",
			[]string{"16 clamp-slipped with=M2R clamp=A extent=gone done=1"}, "clamp S M2R 2TR; unclamp A; unweave C3 4TL 4TR; unweave C2 4HR 4HL; pull M1R 1HR again; clamp B M1R 1HR; release; unclamp S; pull M1L 1TL again; clamp A M1L 1TL; release; " +
				"unclamp B; walk M2L, C1; pull C1 3HR again; clamp B C1 3HR; release; unclamp A", ""},
		{"where the machine has no starting clamp the one that let go holds, clean, what was felt to be tight, and comes off it afterwards", "[clamps]\nstarting = 0\n[mains]\nlead = 1\n[crosses]\nstart = \"knot\"\n", 4, 6, "throat",
			[]string{"7 clamp-slipped with=M1L clamp=B extent=gone done=5"}, "unclamp B; clamp B M1L 1TL; walk M1R, M2R; pull M2R 3TR again; unclamp B; clamp B M2R 3TR; release", ""},
		{"that main is let go first which the lead allows, and not the newest", flying + "[mains]\nfirst = \"L\"\nlead = 1\nthen = \"level\"\nboost = 1\n[crosses]\nstart = \"knot\"\n", 6, 8, "throat",
			[]string{"7 clamp-slipped clamp=B extent=gone done=5", "11 clamp-slipped clamp=A extent=crept done=1", "24 wrong-tension strand=M1L done=2"}, "pull M2R 2TR again; unclamp B; clamp B M1R 1HR; slacken M2R 2TR; pull M2L 2TL again; unclamp A; slacken M2L 2TL; pull M1L 1HL again; clamp S M1R 1HR; unclamp B; slacken M1L 1HL; unclamp S", ""},
		{"slack is pulled on from a tied main, up to the first cross, which flying clamps cannot hold alone: it waits for the second", "pieces = 1\n" + flying + "[mains]\nlead = 1\nshort = \"R\"\n[crosses]\nfrom = \"throat\"\n[redo]\nwalk = { mains = 1, crosses = 1 }\n", 8, 5, "throat",
			[]string{"21 clamp-slipped clamp=A extent=gone done=5"}, "unclamp A; unweave C1 5HL 5HR; unweave C2 6HR 6HL; unweave C3 7HL 7HR; unweave C4 6TR 6TL; pull M3R 3TR again; clamp B M3R 3TR; release; pull M2R 2HR again; " +
				"clamp A M2R 2HR; release; unclamp B; pull M1R 1TR again; clamp B M1R 1TR; release; unclamp A; pull M1L 1HL again; clamp A M1L 1HL; release; unclamp B; pull M2L 2TL again; " +
				"clamp B M2L 2TL; release; unclamp A; pull M3L 3HL again; clamp A M3L 3HL; release; unclamp B; pull M4L 5TL again; clamp B M4L 5TL; release; unclamp A", ""},
		{"of seven slack crosses one comes out, as slack is walked out of six, and a clamp holds the sixth", "[mains]\nfirst = \"L\"\n[crosses]\nclamps = 1\nside = \"R\"\nstart = \"knot\"\n[redo]\nwalk = { mains = 2, crosses = 6 }\n", 4, 7, "throat",
			[]string{"25 clamp-slipped clamp=A extent=gone"}, "unclamp A; unweave C7 2TR 2TL; walk C1, C2, C3, C4, C5, C6; pull C6 4TR again; clamp A C6 4TR; release", ""},
		{"of seven slack crosses three come out where slack is walked out of four", "[mains]\nfirst = \"L\"\n[crosses]\nclamps = 1\nside = \"R\"\nstart = \"knot\"\n[redo]\nwalk = { mains = 2, crosses = 4 }\n", 4, 7, "throat",
			[]string{"25 clamp-slipped clamp=A extent=gone"}, "unclamp A; unweave C7 2TR 2TL; unweave C6 4TL 4TR; unweave C5 5TR 5TL; walk C1, C2, C3, C4; pull C4 6HR again; clamp B C4 6HR; release", ""},
		{"three at most are less work than what is drawn out for them: the first is pulled by itself, and what a bight would be drawn back through comes out", "[mains]\nfirst = \"L\"\n[crosses]\nclamps = 1\nside = \"R\"\nstart = \"knot\"\n[redo]\nwalk = { mains = 2, crosses = 3 }\n", 4, 7, "throat",
			[]string{"25 clamp-slipped clamp=A extent=gone"}, "unclamp A; unweave C7 2TR 2TL; unweave C6 4TL 4TR; unweave C5 5TR 5TL; pull C1 3HL again; clamp A C1 3HL; release; walk C2, C3, C4; pull C4 6HR again; clamp B C4 6HR; release; unclamp A", ""},
		{"mains that lie in each other's holes come out, and what slipped of them is not pulled before", "[mains]\nthen = \"level\"\n[crosses]\nstart = \"skip\"\n", 4, 3, "head",
			[]string{"8 strands-swapped strand=M1L with=M1R done=5", "12 gripper-slipped"}, "unthread M2L 2TL 2HL; pull M2R 2HR again; unclamp B; clamp B M1R 1TL; slacken M2R 2HR; unthread M2R 2TR 2HR; pull M1R 1TL again; unclamp B; clamp B M1L 1HR; " +
				"slacken M1R 1TL; unthread M1R 1HL 1TL; pull M1L 1TR again; unclamp A; slacken M1L 1TR; unclamp B; unthread M1L 1HR 1TR", ""},
		{"slack is pulled on from a knot, over two crosses at a time", "[mains]\nlead = 1\n[crosses]\nfrom = \"throat\"\nclamps = 1\nahead = false\nrepull = \"end\"\n", 6, 3, "head",
			[]string{"20 gripper-slipped done=2"}, "walk C1, C2; pull C2 5HR again; clamp B C2 5HR; release; pull C3 4TL again; clamp A C3 4TL; release; unclamp B", ""},
	} {
		p, err := sequence.Build(tiny(t, c.mains, c.crosses, c.start), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "24 kg"), kg(t, "52 lb"))
		require.NoError(t, err, c.why)
		does, then := goesBack(t, p, c.mishaps)
		assert.Equal(t, c.hands, does, c.why)
		assert.True(t, len(then) >= len(c.then) && then[:len(c.then)] == c.then, "%s: %s", c.why, then)
	}
}

// A main that is pulled again once a cross is woven is pulled in the crosses' phase.
func TestPhaseOfAWayBack(t *testing.T) {
	sheet := technique(t, "name = \"t\"\npieces = 1\n[clamps]\nflying = 2\n[mains]\nlead = 3\n[crosses]\nfrom = \"throat\"\nahead = false\n")
	p, err := sequence.Build(tiny(t, 8, 4, "throat"), sheet, kg(t, "24 kg"), kg(t, "24 kg"))
	require.NoError(t, err)
	woven := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Lay() != nil && s.Lay().Op == plan.Weave })
	for done, want := range map[int]plan.Phase{woven: plan.PhaseMains, woven + 1: plan.PhaseCrosses} {
		next := proven(t, p, done, sequence.Trouble{Fault: plan.FaultLate, Strand: "M4R"})
		assert.Equal(t, "Pull M4R again, at its own tension", next.Steps[done+1].Title)
		assert.Equal(t, want, next.Steps[done+1].Phase)
	}
}
