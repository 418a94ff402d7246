package sequence_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// What little of a racket as it is decides between two ways back, by the trade's rules.
func TestWaysBackByOneThing(t *testing.T) {
	for _, c := range []struct {
		why string
		racket
		mishaps     []string
		hands, then string
	}{
		{"what was pulled too high is let go before it is pulled anew, though it is tied: its knot is opened", racket{4, 5, "head", "[crosses]\nfrom = \"throat\"\nclamps = 1\nstart = \"knot\""},
			[]string{"22 wrong-tension strand=C1 extent=high done=1"}, "untie C1 3HR 2HR; pull C1 3HR again; clamp A C2 4HL; unclamp B; slacken C1 3HR", "Cross 1: pull C1 3HR; straighten C1; unclamp A; clamp A C1 3HR; release"},
		{"slack of two mains is walked out, of one it is not: that is pulled as the technique has it", racket{4, 6, "throat", "[mains]\nlead = 3\nthen = \"level\"\n[crosses]\nahead = false\n[redo]\nwalk = { mains = 2, crosses = 4 }"},
			[]string{"8 gripper-slipped done=3", "13 wrong-hole strand=M2R hole=4TR done=3"}, "move M2R 4TR 3TR; walk M1L, M2L; pull M2L 3TL again; unclamp A; clamp A M2L 3TL; release; unclamp S", "Main 2 right: pull M2R 3TR again; unclamp B; clamp B M2R 3TR; release"},
		{"the start of the first cross, which the starting clamp holds, is finished before it is tied", racket{8, 7, "throat", "[clamps]\nflying = 2\n[mains]\nfirst = \"R\"\nlead = 3\nboost = 0"},
			[]string{"20 string-broke strand=C1 where=gripper done=1"}, "", "Cross 1 again, at its start: pull C1 5HL again; unclamp S; clamp A C1 5HL; release"},
		{"two crosses that flying clamps hold together were pulled at a wrong setting: the one beyond is pulled once more at its start before anything is let go for the other", racket{6, 9, "throat", "[clamps]\nflying = 2\n[mains]\nlead = 1\n[crosses]\nside = \"R\""},
			[]string{"18 wrong-tension strand=C2 done=4"}, "pull C1 4HR again; unclamp B; clamp B C1 4HR; release; pull C3 6HL again; unclamp A; slacken C3 6HL; pull C2 5HR again; clamp S C1 4HR; unclamp B; clamp B C1 4HR; release; unclamp S",
			"Cross 3: pull C3 6HL; straighten C3; clamp A C3 6HL; release"},
		{"the last cross whose knot came open is pulled as the technique has it, also where slack is walked out of no strands at all", racket{4, 4, "head", "pieces = 1\n[clamps]\nflying = 2\n[mains]\nfirst = \"R\"\nlead = 3\nthen = \"level\"\n[crosses]\nclamps = 1\n[redo]\nwalk = { mains = 0, crosses = 0 }"},
			[]string{"16 knot-slipped hole=2TR done=2"}, "untie C4 3TR 2TR", "Cross 4: pull C4 3TR again; straighten C4; clamp B C4 3TR; release"},
		{"what the gripper lost is pulled before the main of the other side that lies wrong is let go, as it stays", racket{6, 6, "throat", "[mains]\nlead = 2\nboost = 2\n[crosses]\nfrom = \"throat\"\nahead = false\nstart = \"knot\"\nrepull = \"end\"\n[redo]\nwalk = { mains = 3, crosses = 5 }"},
			[]string{"9 wrong-hole strand=M3R hole=2HR done=2", "10 gripper-slipped"}, "pull M2L 2TL again; unclamp A; clamp A M2L 2TL; release; pull M3R 2HR again; unclamp B; clamp B M2R 2TR; slacken M3R 2HR; move M3R 2HR 3HR", "Main 3 right: pull M3R 3HR; unclamp B; clamp B M3R 3HR; release"},
		{"what the gripper lost beyond a main that is doubted is not pulled only to be let go for that", racket{8, 6, "throat", "[mains]\nfirst = \"R\"\n[crosses]\nfrom = \"throat\"\nahead = false\nstart = \"knot\"\n[redo]\nwalk = { mains = 3, crosses = 5 }"},
			[]string{"9 slip-found-late strand=M1R done=2", "19 gripper-slipped done=1"}, "pull M1R 1HR again; unclamp B; clamp B M1R 1HR; release", "Main 2 right: pull M2R 2TR again; unclamp B; clamp B M2R 2TR; release"},
		{"slack mains of one side are walked out where nothing tight has to be let go for the other, which comes out", racket{8, 3, "throat", "[mains]\nfirst = \"R\"\nlead = 2\n[crosses]\nclamps = 1\nahead = false\nside = \"R\"\nstart = \"clamp\"\nrepull = \"end\"\n[redo]\nwalk = { mains = 3, crosses = 5 }"},
			[]string{"11 clamp-slipped clamp=B extent=gone", "12 wrong-hole strand=M1R hole=1HL done=1"}, "unthread M3R 3TR 3HR; unthread M2R 2HR 2TR; unthread M1R 1TR 1HL; walk M3L, M2L, M1L; pull M1L 1TL again; clamp B M1L 1TL; release", "Feed the centre mains: thread M1R 1TR 1HR"},
		{"a clamp that crept is set again after the cross before it is pulled anew, not before: what it lost is let go for that", racket{6, 4, "head", "pieces = 1\n[mains]\nfirst = \"L\"\nlead = 3\nshort = \"L\"\n[crosses]\nfrom = \"throat\"\n[redo]\nwalk = { mains = 1, crosses = 1 }"},
			[]string{"18 slip-found-late strand=C4 done=3", "20 clamp-slipped clamp=B extent=base done=1"}, "pull C3 5TR again; unclamp B; clamp A C4 4TL; slacken C3 5TR; pull C4 4TL again; unclamp A; clamp A C4 4TL; release", "Cross 3: pull C3 5TR; straighten C3; clamp B C3 5TR; release; unclamp A"},
		{"a tail that is too short pulls nothing by itself: slack of three mains is walked out past the loop and pulled once", racket{6, 4, "head", "[mains]\nfirst = \"R\"\nboost = 2\n[crosses]\nahead = false\nside = \"R\"\nstart = \"clamp\"\nrepull = \"end\""},
			[]string{"8 clamp-slipped clamp=A extent=gone done=2", "12 too-short strand=M2R done=1"}, "inspect M1R; walk M2R, M1R, M1L; pull M1L 1TL again; clamp A M1L 1TL; release", "Main 3 right: pull M3R 3TR; unclamp B; clamp B M3R 3TR; release"},
	} {
		p, err := c.build(t)
		require.NoError(t, err)
		does, then := goesBack(t, p, c.mishaps)
		assert.Equal(t, c.hands, does, c.why)
		assert.Equal(t, c.then, then, c.why)
	}
}

// Whoever takes the pieces out knows of each grommet that is split already, up to the last hole of the frame, and of the sleeve in it.
func TestKnownSplitsAreToldWhenPiecesComeOut(t *testing.T) {
	p, err := racket{6, 8, "throat", "pieces = 1\n[mains]\nlead = 1\nshort = \"L\"\n[crosses]\nclamps = 1\nahead = false"}.build(t)
	require.NoError(t, err)
	p = onward(t, p, []string{"5 hole-split hole=1HR", "12 string-broke strand=M3R where=bed done=1"})
	require.Equal(t, plan.Hole("1HR"), p.After(0).HoleAt(p.After(0).Total()))
	i := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Take the pieces out" })
	require.Equal(t, "the cut pieces and their knots are out of all holes, no other grommet than 1HR is split, least of all where it broke; in 1HR the sleeve is in its place still", p.Steps[i].Ops[len(p.Steps[i].Ops)-1].Text)
}
