package sequence_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
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
		{"a clamp lets go while the gripper pulls the main beyond the centre loop, which is tight", "[mains]\nfirst = \"L\"\nlead = 1\nboost = 0\n[crosses]\nclamps = 1\n", 6, 4, "head",
			[]string{"6 clamp-slipped clamp=A extent=gone with=M1R done=3"}},
		{"a flying clamp holds the first cross by its other strand when its start is tied", flying + "[mains]\nlead = 1\nboost = 2\n[crosses]\nfrom = \"throat\"\nside = \"R\"\nclamps = 1\n", 8, 4, "throat",
			[]string{"18 slip-found-late strand=C4", "24 gripper-slipped"}},
		{"a main swapped at one end is in a wrong hole still when a wrong setting is kept", "[mains]\nlead = 1\n", 8, 4, "head",
			[]string{"12 wrong-hole strand=M3L hole=3TR", "14 wrong-tension strand=M2L choose=keep"}},
		{"the gripper slips while a cross is pulled that slipped, with more woven since than slack is drawn back through", "", 6, 8, "head",
			[]string{"28 slip-found-late strand=C2", "39 gripper-slipped done=1"}},
		{"the starting clamp lets go under the two mains that flying clamps hold together only", flying, 6, 4, "head",
			[]string{"5 clamp-slipped clamp=S extent=gone with=M1L done=1"}},
		{"a main that comes out holds the other side of the centre loop, by the starting clamp", "[mains]\nlead = 1\n", 8, 4, "throat",
			[]string{"6 strands-swapped strand=M1R with=M2R done=2", "9 clamp-slipped clamp=A extent=gone with=M1R done=1"}},
		{"all was let go up to a trimmed tail, to be cut out, and something else goes wrong", "pieces = 1\n" + flying + "[mains]\nshort = \"L\"\n[crosses]\nclamps = 1\n", 6, 4, "throat",
			[]string{"14 slip-found-late strand=M1R done=3", "16 too-short strand=M2L"}},
		{"what is felt to be tight is held while another thing is decided", "[mains]\nlead = 1\n[crosses]\nstart = \"clamp\"\nahead = false\nrepull = \"end\"\n", 6, 8, "head",
			[]string{"22 clamp-slipped clamp=S extent=gone with=C4 done=1", "26 misweave strand=C2 choose=keep"}},
		{"what hangs free keeps a flying clamp on string that broke until it is drawn out", flying + "[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\n", 6, 4, "throat",
			[]string{"7 clamp-slipped clamp=A extent=gone done=2", "8 string-broke strand=M1R where=gripper done=1"}},
		{"a main that broke and the one pulled last, which breaks at the jaw, are in one flying clamp", flying + "[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\n", 6, 4, "throat",
			[]string{"7 string-broke strand=M2L where=bed done=5", "8 string-broke strand=M3L where=jaw choose=regrip"}},
		{"the gripper slips on the last cross, and one before it is found slipped: the last but one is not boosted for that", "[crosses]\nfrom = \"throat\"\n", 6, 6, "throat",
			[]string{"26 gripper-slipped done=1", "27 slip-found-late strand=C5"}},
		{"flying clamps let go of the first crosses, whose starting knot gave a little and is kept", flying + "[crosses]\nstart = \"knot\"\n", 6, 6, "head",
			[]string{"19 clamp-slipped clamp=B extent=gone", "22 knot-slipped hole=3HL extent=crept choose=keep"}},
		{"a setting that was told too low turns out to have been too high", flying, 6, 6, "head",
			[]string{"9 wrong-tension strand=M2R choose=undo", "11 wrong-tension strand=M2R extent=high choose=undo"}},
		{"a clamp crept, and its main breaks at the jaw: what is tight beyond the centre loop lost nothing, up to the gripper of then", flying + "[mains]\nlead = 2\nthen = \"level\"\n", 8, 6, "head",
			[]string{"10 clamp-slipped clamp=A extent=crept done=3", "15 string-broke strand=M3L where=jaw choose=regrip with=M1R"}},
		{"a knot came open, and the main in whose corner the others hang comes out with them", flying, 8, 6, "head",
			[]string{"13 knot-slipped hole=3HL done=2", "15 wrong-hole strand=M3L hole=4HL"}},
		{"a hole is split when the mounting of the frame was interrupted", "", 6, 4, "head", []string{"3 interrupted done=1", "4 hole-split hole=3HL done=2"}},
		{"the frame cracks when a sleeve was put in", "", 6, 4, "head", []string{"1 hole-split hole=3HL choose=sleeve", "2 frame-cracked done=1"}},
		{"a cross is found woven wrong when half of the bed is cut out", "pieces = 1\n" + flying + "[mains]\nlead = 1\n[crosses]\nfrom = \"throat\"\nclamps = 1\n", 8, 6, "throat",
			[]string{"18 kink strand=M1L done=3", "20 misweave strand=C3 done=2"}},
		{"a main breaks outside a clamp while the starting clamp stands amid what is tight", flying + "[mains]\nlead = 2\nthen = \"level\"\n", 8, 4, "throat",
			[]string{"10 gripper-slipped with=M1L done=3", "15 string-broke strand=M3L where=gripper done=1"}},
		{"a setting is found wrong while the gripper pulls by it what slipped", "[mains]\nlead = 1\n", 6, 4, "head",
			[]string{"7 gripper-slipped done=2", "9 wrong-tension strand=M2R done=1"}},
		{"what was felt to be tight is found to have slipped, before what is slack beside it is pulled again", flying + "[mains]\nlead = 1\n", 6, 4, "head",
			[]string{"5 gripper-slipped with=M1R done=1", "6 slip-found-late strand=M1R done=1"}},
		{"a main breaks while a flying clamp behind it holds what is tight up to there", "pieces = 1\n" + flying + "[mains]\nfirst = \"R\"\nlead = 2\nthen = \"level\"\nshort = \"R\"\n[crosses]\nahead = true\nclamps = 1\n", 12, 17, "head",
			[]string{"20 wrong-hole strand=M5L hole=1HL", "35 string-broke strand=M5L where=hole done=4"}},
		{"a cross breaks when the one that is tied is in a clamp still", "[crosses]\nfrom = \"throat\"\n", 6, 4, "head",
			[]string{"21 clamp-slipped clamp=B extent=gone with=C4 done=1", "22 string-broke strand=C1 where=hole done=1"}},
		{"the starting clamp crept on what was felt to be tight, before what is slack beside it is pulled again", flying + "[mains]\nlead = 1\n", 6, 4, "head",
			[]string{"5 gripper-slipped with=M1R done=1", "6 clamp-slipped clamp=S extent=crept done=1"}},
		{"the starting clamp stands amid tight string while a centre main is pulled again that a flying clamp holds", flying + "[mains]\nlead = 1\n", 6, 4, "head",
			[]string{"9 gripper-slipped with=M1R done=3", "15 slip-found-late strand=M1L done=1"}},
		{"a main is found in a wrong hole when its own was told to be split", "", 4, 3, "head", []string{"5 hole-split hole=1TR", "6 wrong-hole strand=M1R hole=4HL"}},
		{"a wrong hole is told again, and kept then", "", 4, 4, "head", []string{"8 wrong-hole strand=M2R hole=1HL", "9 wrong-hole strand=M2R hole=3HR choose=keep"}},
		{"the one flying clamp of the crosses holds their start while a cross is pulled again", flying + "[crosses]\nfrom = \"throat\"\nclamps = 1\n", 4, 4, "head",
			[]string{"17 clamp-slipped clamp=S extent=base", "20 misweave strand=C1", "24 gripper-slipped done=1"}},
		{"a centre main that was felt to be tight turns out to be swapped with the slack one", flying, 6, 4, "head",
			[]string{"5 gripper-slipped with=M1R done=1", "6 strands-swapped strand=M1L with=M1R"}},
		{"a flying clamp slid beside a knot, and the other let go beyond it", flying, 6, 4, "head",
			[]string{"10 clamp-slipped clamp=A extent=gone done=1", "11 clamp-slipped clamp=B extent=base done=1"}},
		{"the mains are cut out while the starting clamp stands where a flying one holds", flying + "[mains]\nfirst = \"L\"\n", 6, 4, "head",
			[]string{"7 clamp-slipped clamp=B extent=gone done=3", "13 kink strand=M3L done=2"}},
		{"a wrong setting is told again, and kept then", flying + "[mains]\nfirst = \"L\"\nlead = 2\nthen = \"level\"\n", 8, 4, "head",
			[]string{"9 wrong-tension strand=M2L choose=undo done=2", "14 wrong-tension strand=M2L choose=keep"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := sequence.Build(tiny(t, c.mains, c.crosses, c.start), technique(t, "name = \"t\"\n"+c.sheet), kg(t, "24 kg"), kg(t, "52 lb"))
			require.NoError(t, err)
			seenAlike(t, onward(t, p, c.mishaps))
		})
	}
}

// A knot that its own hole has no string for any more goes into one over which a run came to lie without a scrap in it: that is told first.
func TestAKnotUnderARunIsTold(t *testing.T) {
	f, _, err := patterns.ReadLayout("bent", []byte("name = \"Bent\"\nsport = \"tennis\"\nmains = 8\ncrosses = 4\nstart = \"head\"\nholes = 12\nskip = [\"4H\", \"5H\"]\n"+
		"[tie]\nmains = [\"2H\", \"3T\"]\ncrosses = [\"3H\", \"6H\", \"4T\"]\n"))
	require.NoError(t, err)
	p, err := sequence.Build(f, technique(t, "name = \"t\"\n"), kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	for _, mishap := range []string{"19 wrong-hole strand=M3L hole=1HL choose=keep", "19 wrong-hole strand=M4L hole=5TL choose=keep"} {
		next := onward(t, p, []string{mishap})
		seenAlike(t, next)
		i := slices.IndexFunc(next.Steps, func(s plan.Step) bool { return s.Tie() != nil && s.Tie().Hole == "6HL" })
		require.Equal(t, "no scrap is in 6HL, and a run lies over it: a blunt awl beside the run, never pry", next.Steps[i].Ops[0].Text)
	}
}

// Of two crosses of which either may be cut first it is that which no clamp grips, at any pair of the cuts: then the clamp on the other comes off.
func TestTheCutThatFreesAClampComesFirst(t *testing.T) {
	sheet := "name = \"t\"\npieces = 1\naround = true\n[mains]\nfirst = \"L\"\nshort = \"R\"\nlead = 1\nthen = \"level\"\n[crosses]\nahead = false\nclamps = 2\n"
	p, err := sequence.Build(layout(t, "club-sixteen"), technique(t, sheet), kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	seenAlike(t, onward(t, p, []string{"28 clamp-slipped clamp=B extent=gone with=C19 done=2", "30 string-broke strand=C19 where=hole done=1"}))
}

// A main on which another's knot sits is cut and never drawn out.
func TestAKnotKeepsTheMainItSitsOn(t *testing.T) {
	sheet := "name = \"t\"\npieces = 1\n[clamps]\nflying = 2\n[mains]\nfirst = \"L\"\nlead = 1\nthen = \"level\"\nshort = \"L\"\n[crosses]\nfrom = \"head\"\nahead = false\nclamps = 1\n"
	p, err := sequence.Build(tiny(t, 14, 15, "throat"), technique(t, sheet), kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	seenAlike(t, onward(t, p, []string{"29 kink strand=M2R choose=new done=3", "35 string-broke strand=M6R where=gripper"}))
}

// An outer main stays in a wrong hole that lies nearer to a lower cross: by that layout it would come after that one, but it lies already.
func TestTheOuterMainStaysAfterItsCross(t *testing.T) {
	p, err := sequence.Build(layout(t, "club-sixteen"), technique(t, "name = \"t\"\npieces = 1\naround = true\n"), kg(t, "24 kg"), kg(t, "52 lb"))
	require.NoError(t, err)
	seenAlike(t, onward(t, p, []string{"24 wrong-hole strand=M8R hole=12TR choose=keep"}))
}

// seenAlike holds that racket and referee know the same after each step.
func seenAlike(t *testing.T, p *plan.Plan) {
	table, _ := referee.From(&p.Terms, nil)
	r := p.After(0)
	for i := range p.Steps {
		table.Step(&p.Steps[i])
		require.NoError(t, r.ApplyAll(p.Steps[i].Ops))
		require.Empty(t, table.View(nil).Differs(r), "after step %d", i+1)
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

// goesBack goes the ways back of mishaps, one after the other, and is what hands do after the last of them, and the first step of the
// technique that follows.
func goesBack(t *testing.T, p *plan.Plan, mishaps []string) (does, then string) {
	p = onward(t, p, mishaps)
	last, _, err := sequence.ParseTrouble(mishaps[len(mishaps)-1])
	require.NoError(t, err)
	if i := slices.IndexFunc(p.Steps[last:], func(s plan.Step) bool { return s.Base > 0 }); i >= 0 {
		then = p.Steps[last+i].Title + ": " + hands([]plan.Step{{Ops: p.Steps[last+i].Ops}})
	}
	return hands(p.Steps[last:]), then
}

// A clamp that crept is to be set again, and lets go when the gripper has its load: the pull draws through it, so nothing of what
// it held stays low, back to the knot of the short side.
func TestClampLetsGoUnderTheGripper(t *testing.T) {
	sheet := technique(t, "name = \"t\"\npieces = 1\naround = true\n[mains]\nshort = \"L\"\n[crosses]\nclamps = 1\n")
	whole, err := sequence.Build(layout(t, "club-sixteen"), sheet, kg(t, "24 kg"), kg(t, "24 kg"))
	require.NoError(t, err)
	p := onward(t, whole, []string{"31 clamp-slipped clamp=B extent=crept"})
	again := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return strings.HasPrefix(s.Title, "Clamp B again") })
	require.Equal(t, plan.Pull, p.Steps[again].Ops[0].Op)
	next := proven(t, p, again, sequence.Trouble{Fault: plan.FaultClamp, Clamp: plan.B, Extent: plan.Gone, Ops: 1})
	assert.Less(t, len(next.Steps), len(p.Steps)+4, "and no main is let go")
}

// A clamp lets go over more mains than slack is walked out of: the newest come out and are fed anew, so that no bight is drawn back
// through more of them.
func TestLetsGoOverManyMains(t *testing.T) {
	p := onward(t, build(t, "club-sixteen", "two-piece-skip"), []string{"18 clamp-slipped clamp=A extent=gone with=M1R"})
	assert.Equal(t, "clamp S M1R 1TR; unclamp A; unthread M7L 8TL 8HL; unthread M6L 6HL 6TL", hands(p.Steps[17:]))
}

// What was pulled too high is let go before it is pulled again, for no pull takes anything off it; what was pulled too low is pulled again
// where it is. The referee knows the one from the other.
func TestPulledTooHigh(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-skip")
	low := onward(t, p, []string{"18 wrong-tension strand=M6R"})
	assert.Equal(t, "pull M6R 6TR again; unclamp B; clamp B M6R 6TR; release", hands(low.Steps[17:]))
	high := onward(t, p, []string{"18 wrong-tension strand=M6R extent=high"})
	assert.Equal(t, "pull M6R 6TR again; unclamp B; clamp B M5R 5HR; slacken M6R 6TR", hands(high.Steps[17:]))
	low.Steps[17].Ops[0].Extent = plan.High
	assert.Contains(t, fmt.Sprint(referee.Check(low)), "M6R was pulled at a wrong setting")
}

// A clamp lets go beyond the outer main that a string goes around by: the low crosses behind it come out only after it, for string is
// drawn out by its end.
func TestLetsGoBeyondTheOuterMain(t *testing.T) {
	p := onward(t, build(t, "feather-twentyone", "one-piece-around"), []string{"37 clamp-slipped clamp=B extent=gone"})
	assert.Contains(t, hands(p.Steps[36:]), "unweave C1 8HL 8HR; unthread M11L 12TL 13HL; unweave C19 10TR 10TL; walk M10L, M9L; pull M9L 10HL again")
}

// A clamp that took over from the corners of the centre loop stays until what lies beyond is pulled, and comes away with its strand
// where that is cut out before.
func TestTakesOverFromTheCorners(t *testing.T) {
	p := onward(t, build(t, "bridge-fourteen", "one-piece"), []string{"16 clamp-slipped clamp=A extent=gone with=M1R"})
	assert.Equal(t, "clamp S M1R 1TR; unclamp A", hands(p.Steps[15:]))
	for _, next := range []string{"20 string-broke strand=M6R where=jaw choose=new", "20 frame-cracked"} {
		onward(t, p, []string{next})
	}
}

// Two swapped strands of which one end turns out to lie right: the fault finds two strings in one hole, and only the wrong one leaves it.
func TestSwappedByOneEndOnly(t *testing.T) {
	p := build(t, "bridge-fourteen", "two-piece-clamp")
	done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Main 5 right" }) // M4R lies, M5R is not there yet
	for _, c := range []struct{ hole, hands string }{
		{"3HR", "pull M4R 4TR again; unclamp B; clamp B M3R 4HR; slacken M4R 4TR; unthread M4R 3HR 4TR; " +
			"pull M3R 4HR again; unclamp B; clamp B M2R 2TR; slacken M3R 4HR; move M3R 4HR 3HR"}, // its other end lies right
		{"3TR", "pull M4R 3TR again; unclamp B; clamp B M3R 3HR; slacken M4R 3TR; unthread M4R 4HR 3TR; " +
			"pull M3R 3HR again; unclamp B; clamp B M2R 2TR; slacken M3R 3HR; unthread M3R 4TR 3HR"},
	} {
		next := onward(t, p, []string{fmt.Sprintf("%d strands-swapped strand=M3R with=M4R hole=%s", done+1, c.hole)})
		assert.Equal(t, c.hands, hands(next.Steps[done:]))
	}
	onward(t, build(t, "bridge-fourteen", "one-piece"), []string{"5 strands-swapped strand=M1R with=M1L hole=1HR done=3"}) // neither lies beyond the other
	onward(t, build(t, "bridge-fourteen", "two-piece-clamp"), []string{"13 strands-swapped strand=M5R with=M3R", "15 wrong-hole strand=M3R hole=3HR"})
}

// Who leaves a strand in a wrong hole in the midst of a cutting out, with the stub of a cross still in a clamp, has a way back.
func TestKeptBesideAStub(t *testing.T) {
	whole, tried := tinyPlan(t, "", 5), 0
	for at := 1; at < len(whole.Steps); at++ {
		if !whole.After(at).Laid("C1") {
			continue
		}
		p := proven(t, whole, at, sequence.Trouble{Fault: plan.FaultKink, Strand: "C1", Choose: plan.New})
		for done := at; done < len(p.Steps) && p.Steps[done].Base == 0; done++ {
			r := p.After(done)
			for _, c := range plan.Clamps() {
				if g := r.Grip(c); g != nil && !r.Laid(g.Strand) {
					tried++
					keep := sequence.Trouble{Fault: plan.FaultHole, Strand: "M3L", Hole: "1HL", Choose: plan.Keep}
					next, err := sequence.Recover(p, done, keep)
					require.NoError(t, err)
					require.Empty(t, referee.Check(next))
				}
			}
		}
	}
	assert.Positive(t, tried)
}

// What is felt to be tight when a clamp lets go on the crosses is held, and only what is slack is pulled again: from the held end
// strand by strand where S let go at the start. Nothing that was woven since comes out.
func TestCrossesFeltTight(t *testing.T) {
	for _, c := range []struct{ frame, sheet, mishap, hands string }{
		{"club-sixteen", "two-piece-clamp", "34 clamp-slipped clamp=A extent=gone with=C2",
			"clamp B C2 9HL; unclamp A; pull C3 11HR again; clamp A C3 11HR; release; unclamp B; pull C4 12HL again; clamp B C4 12HL; release; unclamp A"}, // C5 is woven beyond
		{"club-sixteen", "two-piece-skip", "44 clamp-slipped clamp=S extent=gone with=C4",
			"clamp B C4 12HR; unclamp S; pull C3 11HL again; unclamp B; clamp B C3 11HL; release; pull C2 9HR again; clamp S C2 9HR; release; unclamp B"}, // C1 is woven beyond
		{"club-sixteen", "two-piece-skip", "44 clamp-slipped clamp=S extent=gone with=C6", "clamp B C6 14HR; unclamp S; walk C5, C4; " +
			"pull C4 12HR again; unclamp B; clamp B C4 12HR; release; pull C3 11HL again; unclamp B; clamp B C3 11HL; release; pull C2 9HR again; clamp S C2 9HR; release; unclamp B"},
	} {
		p := build(t, c.frame, c.sheet)
		done := 0
		_, err := fmt.Sscanf(c.mishap, "%d", &done)
		require.NoError(t, err)
		assert.Equal(t, c.hands, hands(onward(t, p, []string{c.mishap}).Steps[done-1:]), c.mishap)
	}
}

// Ways back from strands that were felt to be tight, of mishaps that come one in another's way back.
func TestFeltTightInAWayBack(t *testing.T) {
	onward(t, build(t, "bridge-fourteen", "two-piece-knot"), []string{"54 misweave strand=C5", "56 clamp-slipped clamp=B extent=gone with=C10"})
	// The clamp that took over where S had let go lets go as well, cleaned it holds there again: what lies beyond is let go against it.
	onward(t, build(t, "club-sixteen", "two-piece-skip"), []string{"44 clamp-slipped clamp=S extent=gone with=C4", "46 clamp-slipped clamp=B extent=gone done=1"})
	// A clamp crept before: what it lost it lost this side of what is still tight, else the knot of the other side would have to be opened.
	// What it is held by lets go too: then the corners hold nothing any more.
	onward(t, build(t, "bridge-fourteen", "two-piece-clamp"), []string{"8 clamp-slipped clamp=B extent=gone with=M1L done=5", "9 clamp-slipped clamp=A extent=gone"})
	p := onward(t, build(t, "feather-twentyone", "one-piece-around"), []string{"64 clamp-slipped clamp=A extent=crept", "65 clamp-slipped clamp=A extent=gone with=M1L"})
	assert.NotContains(t, hands(p.Steps[64:]), "untie")
}

// Pieces are cut out while a hole has a sleeve, or waits for one: the look for split grommets knows of it, whichever hole it is.
func TestTakeOutKnowsOfSleeves(t *testing.T) {
	whole := tinyPlan(t, "", 4)
	broke := slices.IndexFunc(whole.Steps, func(s plan.Step) bool { return s.Title == "Main 2 right" })
	tried := map[plan.Hole]bool{}
	for place, r := 1, whole.After(1); place <= r.Total(); place++ {
		h := r.HoleAt(place)
		p, err := sequence.Recover(whole, broke, sequence.Trouble{Fault: plan.FaultSplit, Hole: h, Choose: plan.Sleeve})
		if err != nil {
			continue
		}
		done := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Main 2 right" }) + 1
		p = proven(t, p, done, sequence.Trouble{Fault: plan.FaultBreak, Strand: "M1R", Where: plan.InBed})
		i := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Title == "Take the pieces out" })
		text := p.Steps[i].Ops[len(p.Steps[i].Ops)-1].Text
		assert.Contains(t, text, "no other grommet than "+string(h)+" is split")
		assert.Equal(t, p.After(done).Sleeved(h), strings.Contains(text, "in "+string(h)+" the sleeve is in its place still"), text)
		tried[h] = true
	}
	last := whole.After(1).HoleAt(whole.After(1).Total())
	assert.True(t, tried[last], "the last hole of the ring too")
}
