package sequence_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Ways back that a random search found wrong once, of mishaps that come one in another's way back.
func TestWaysBackThatWereWrong(t *testing.T) {
	flying := "[clamps]\nflying = 2\n"
	for _, c := range []struct {
		name, sheet    string
		mains, crosses int
		start          string
		mishaps        []string
	}{
		{"the centre pair was boosted, and one of it is pulled again", flying + "[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\nboost = 2\n[crosses]\nstart = \"knot\"\n", 4, 4, "throat",
			[]string{"5 strands-swapped strand=M1R with=M1L done=2"}},
		{"the first cross is in a wrong hole beside its starting knot", flying + "[mains]\nfirst = \"R\"\nlead = 2\nthen = \"level\"\nboost = 2\n[crosses]\nfrom = \"throat\"\nside = \"R\"\nstart = \"knot\"\n", 4, 5, "throat",
			[]string{"15 clamp-slipped clamp=B extent=base done=1", "18 wrong-hole strand=C5 hole=4TR done=1"}},
		{"both ends of a main are in wrong holes", flying + "[mains]\nfirst = \"L\"\nlead = 1\nboost = 0\n[crosses]\nstart = \"knot\"\n", 6, 5, "throat",
			[]string{"5 wrong-hole strand=M1R hole=4TL done=2", "7 wrong-hole strand=M1R hole=4HL done=1"}},
		{"a flying clamp lets go under the gripper and holds another strand across the loop", flying + "[mains]\nfirst = \"L\"\nlead = 1\nthen = \"level\"\nboost = 3\n[boost]\namount = \"4 lb\"\n", 6, 4, "head",
			[]string{"5 wrong-tension strand=M1L done=3", "12 clamp-slipped clamp=B extent=gone done=1"}},
		{"a main in a wrong hole lost tension too", flying + "[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\nboost = 0\n[crosses]\nside = \"R\"\nclamps = 1\n", 10, 6, "head",
			[]string{"12 clamp-slipped clamp=A extent=crept done=3", "14 wrong-hole strand=M3R hole=5TR"}},
		{"a misweave is kept while the mains are cut out", "", 6, 4, "head", []string{"17 string-broke strand=M3R where=gripper", "18 misweave strand=C1 choose=keep"}},
		{"a misweave is told again and kept then", "", 6, 4, "head", []string{"17 misweave strand=C1", "18 misweave strand=C1 choose=keep"}},
		{"a flying clamp holds the first cross by its other strand when its start is tied", flying + "[mains]\nlead = 1\nboost = 2\n[crosses]\nfrom = \"throat\"\nside = \"R\"\nclamps = 1\n", 8, 4, "throat",
			[]string{"18 slip-found-late strand=C4", "24 gripper-slipped done=1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := sequence.Build(tiny(t, c.mains, c.crosses, c.start), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "24 kg"), kg(t, "52 lb"))
			require.NoError(t, err)
			onward(t, p, c.mishaps)
		})
	}
}

// onward goes the ways back of mishaps, one after the other.
func onward(t *testing.T, p *plan.Plan, mishaps []string) *plan.Plan {
	for _, m := range mishaps {
		done, trouble, err := sequence.ParseTrouble(m)
		require.NoError(t, err)
		p = proven(t, p, done, trouble)
	}
	return p
}

// A clamp that crept is to be set again, and lets go when the gripper has its load: the pull draws through it, so nothing of what
// it held stays low, back to the knot of the short side.
func TestClampLetsGoUnderTheGripper(t *testing.T) {
	sheet := technique(t, "name = \"t\"\npieces = 1\naround = true\n[mains]\nshort = \"L\"\n[crosses]\nclamps = 1\n")
	whole, err := sequence.Build(layout(t, "club-sixteen"), sheet, kg(t, "24 kg"), kg(t, "24 kg"))
	require.NoError(t, err)
	p := onward(t, whole, []string{"30 misweave strand=C1", "31 clamp-slipped clamp=B extent=crept"})
	again := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return strings.HasPrefix(s.Title, "Clamp B again") })
	require.Equal(t, plan.Pull, p.Steps[again].Ops[0].Op)
	next := proven(t, p, again, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.B, Extent: plan.Gone, Ops: 1})
	assert.Less(t, len(next.Steps), len(p.Steps)+4, "and no main is let go")
}
