package sequence_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// goesBack goes the ways back of mishaps, one after the other, and is what hands do after the last of them, and the first step of the
// technique that follows.
func (r racket) goesBack(t *testing.T, mishaps []string) (does, then string) {
	p, err := r.build(t)
	require.NoError(t, err)
	p = onward(t, p, mishaps)
	last, _, err := sequence.ParseTrouble(mishaps[len(mishaps)-1])
	require.NoError(t, err)
	if i := slices.IndexFunc(p.Steps[last:], func(s plan.Step) bool { return s.Base > 0 }); i >= 0 {
		then = p.Steps[last+i].Title + ": " + hands([]plan.Step{{Ops: p.Steps[last+i].Ops}})
	}
	return hands(p.Steps[last:]), then
}

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
	} {
		does, then := c.goesBack(t, c.mishaps)
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
