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

// The bounds of a sheet's settings, each at its edge: the last that is right, and the first that is not with what would be.
func TestSheetAtItsBounds(t *testing.T) {
	for _, c := range []struct{ sheet, problem string }{
		{"pieces = 1", ""}, {"pieces = 2", ""}, {"pieces = 0", "pieces is 0; write 1 to 2"}, {"pieces = 3", "pieces is 3; write 1 to 2"},
		{"[mains]\nlead = 1", ""}, {"[mains]\nlead = 3", ""}, {"[mains]\nlead = 0", "write 1 to 3"}, {"[mains]\nlead = 4", "write 1 to 3"},
		{"[mains]\nboost = 0", ""}, {"[mains]\nboost = 4", ""}, {"[mains]\nboost = -1", "write 0 to 4"}, {"[mains]\nboost = 5", "write 0 to 4"},
		{"[mains]\nfirst = \"M\"", `write "L" or "R"`}, {"[crosses]\nstart = \"glue\"", `write "clamp" or "knot" or "skip"`},
		{"[boost]\npercent = 0.0", ""}, {"[boost]\npercent = 30.0", ""}, {"[boost]\npercent = -0.1", "write 0 to 30"}, {"[boost]\npercent = 30.1", "write 0 to 30"},
		{"[boost]\namount = \"60 N\"", ""}, {"[boost]\namount = \"61 N\"", "at most 6 kg"}, {"[boost]\namount = \"2\"", "boost.amount: "},
		{"[boost]\namount = \"2 kg\"\npercent = 10.0", "write one of them"},
		{"[tie]\ntail = \"1 mm\"", ""}, {"[tie]\ntail = \"50 mm\"", ""}, {"[tie]\ntail = \"0.95 mm\"", "write 1 to 50 mm"},
		{"[tie]\ntail = \"50.5 mm\"", "write 1 to 50 mm"}, {"[tie]\ntail = \"long\"", "tie.tail: "},
		{"[tie]\nreach = 1", ""}, {"[tie]\nreach = 30", ""}, {"[tie]\nreach = 0", "write 1 to 30"}, {"[tie]\nreach = 31", "write 1 to 30"},
		{"[redo.walk]\nmains = 0\ncrosses = 20", ""}, {"[redo.walk]\nmains = 21", "write 0 to 20"}, {"[redo.walk]\ncrosses = -1", "write 0 to 20"},
		{"[cut]\nwall = \"50 mm\"", ""}, {"[cut]\nwall = \"50.5 mm\"", "at most 50 mm"}, {"[cut]\nmargin = \"1000 mm\"", ""}, {"[cut]\nmargin = \"1001 mm\"", "at most 1000 mm"},
		{"[cut.walls]\ntennis = \"50 mm\"", ""}, {"[cut.walls]\ntennis = \"51 mm\"", "cut.walls.tennis"}, {"[cut]\ntape = \"101 mm\"", "at most 100 mm"},
		{"[clamps]\nfixed = 1\nflying = 1", "fixed and flying clamps"}, {"[clamps]\nfixed = 2\nflying = 0", ""}, {"[clamps]\nfixed = 0\nflying = 2", ""},
		{"[clamps]\nfixed = 3", "write 0 to 2"}, {"[clamps]\nflying = 3", "write 0 to 2"}, {"[clamps]\nstarting = 2", "write 0 to 1"},
		{"[mount]\norder = []", "mount.order is empty"}, {"[mount]\norder = [\"head\", \"head\"]", "named twice"}, {"[mount]\norder = [\"\", \"head\"]", "named twice"},
		{"[mount]\norder = [\"head\"]\nrelease = [\"throat\"]", `mount.release does not name "head"`},
		{"[mount]\norder = [\"head\"]\nrelease = [\"throat\", \"head\"]", "names 2 supports and mount.order 1"},
		{"[mount]\norder = [\"head\"]\nrelease = [\"head\"]", ""},
	} {
		_, _, err := sequence.ReadTechnique("sheet.toml", []byte("name = \"t\"\n"+c.sheet+"\n"))
		if c.problem == "" {
			assert.NoError(t, err, c.sheet)
		} else {
			assert.ErrorContains(t, err, c.problem, c.sheet)
		}
	}
}

// What a sheet means where it leaves something away, and where it says what is usual anyway.
func TestSheetMeans(t *testing.T) {
	read := func(text string) *sequence.Technique { return technique(t, "name = \"t\"\n"+text+"\n") }
	assert.Equal(t, [3]int{2, 0, 1}, clampsOf(read("")))
	assert.Equal(t, [3]int{0, 2, 1}, clampsOf(read("[clamps]\nflying = 2")))
	assert.Equal(t, [3]int{0, 1, 1}, clampsOf(read("[clamps]\nflying = 1")))
	assert.Equal(t, [3]int{2, 0, 0}, clampsOf(read("[clamps]\nflying = 0\nstarting = 0")))
	for reach, want := range map[int]int{5: 5, 6: 0, 7: 7} { // 6 is common practice and not written down
		assert.Equal(t, want, read(fmt.Sprintf("[tie]\nreach = %d", reach)).Reach)
	}
	assert.Nil(t, read("").Walk)
	assert.Nil(t, read("[redo.walk]\nmains = 4\ncrosses = 2").Walk)
	assert.Equal(t, plan.Walk{Mains: 4, Crosses: 3}, *read("[redo.walk]\ncrosses = 3").Walk)
	assert.True(t, read("").Cross.Ahead)
	assert.True(t, read("[crosses]\nahead = true").Cross.Ahead)
	assert.False(t, read("[crosses]\nahead = false").Cross.Ahead)
	assert.Equal(t, 10.0, read("").Boost.Percent)
	assert.Equal(t, 5.0, read("[boost]\npercent = 5.0").Boost.Percent)
	assert.Equal(t, 3.0, read("").TailMM)
	walls := read("[cut]\nwall = \"0 mm\"\n[cut.walls]\nsquash = \"9 mm\"")
	assert.Equal(t, [3]float64{0, 0, 9}, [3]float64{walls.Cut.WallMM, walls.Walls[patterns.Tennis], walls.Walls[patterns.Squash]})
}

func clampsOf(s *sequence.Technique) [3]int {
	return [3]int{s.Clamps.Fixed, s.Clamps.Flying, s.Clamps.Starting}
}

// The bounds of what a string is cut from.
func TestStockAtItsBounds(t *testing.T) {
	for _, c := range []struct{ stock, problem string }{
		{`length = "100 mm"`, ""}, {`length = "99 mm"`, "a set is about 12 m"}, {`reel = "2000 m"`, ""}, {`reel = "2001 m"`, "a set is about 12 m"},
		{"reel = \"200 m\"\nleft = \"200 m\"", ""}, {"reel = \"200 m\"\nleft = \"201 m\"", "more than the reel's 200 m"},
		{"length = \"12 m\"\nreel = \"200 m\"", "write one of them"}, {"length = \"12 m\"\nleft = \"20 m\"", "write one of them"},
		{`left = "20 m"`, "left is what is left on a reel"}, {`half = true`, "half a set"}, {"half = true\nlength = \"12 m\"", ""},
		{`length = "long"`, "length: "},
	} {
		text := strings.Replace(hybrid, "prestretch = \"10 %\"", "prestretch = \"10 %\"\n"+c.stock, 1)
		_, _, err := sequence.ReadJob("job.toml", []byte(text))
		if c.problem == "" {
			assert.NoError(t, err, c.stock)
		} else {
			assert.ErrorContains(t, err, c.problem, c.stock)
		}
	}
	for want, s := range map[string]sequence.Supply{
		"the reel 20": {ReelMM: 200, LeftMM: 20}, "the reel 200": {ReelMM: 200}, "the set 12": {SetMM: 12}, " 0": {},
	} {
		assert.Equal(t, want, fmt.Sprintf("%s %g", s.Stock().Name, s.Stock().MM))
	}
}

// tiny is an invented frame of a few strands.
func tiny(t require.TestingT, mains, crosses int, start string) *patterns.Frame {
	half := mains / 2
	text := fmt.Sprintf("name = \"Tiny\"\nsport = \"tennis\"\nmains = %d\ncrosses = %d\nstart = %q\nholes = %d\n", mains, crosses, start, mains+crosses)
	low := half // the tie-off hole for the crosses at the throat
	if start == "throat" {
		text += fmt.Sprintf("skip = [\"%dT\"]\n", half) // the lowest cross lies below the outer mains
		low++
	}
	text += fmt.Sprintf("[tie]\nmains = [\"%dH\", \"%dH\", \"%dT\"]\ncrosses = [\"%dH\", \"%dT\"]\n", max(half-1, 1), half, max(half-1, 1), half, low)
	f, _, err := patterns.ReadLayout("tiny", []byte(text))
	require.NoError(t, err, text)
	return f
}

// The smallest frames that a technique can string are strung and proven; of smaller ones it says what works.
func TestSmallestFrames(t *testing.T) {
	for _, c := range []struct {
		mains, crosses int
		start, sheet   string
		problem        string
	}{
		{4, 1, "head", "", ""},
		{4, 2, "head", "[crosses]\nstart = \"skip\"", ""},
		{4, 1, "head", "[crosses]\nstart = \"skip\"", "takes two crosses and Tiny has 1"},
		{4, 3, "head", "[clamps]\nflying = 2", ""},
		{4, 2, "head", "[clamps]\nflying = 2", "two mains a side and three crosses at the least, and Tiny has 2 and 2"},
		{2, 3, "head", "[clamps]\nflying = 2", "Tiny has 1 and 3"},
		{4, 3, "head", "[clamps]\nflying = 1", "the mains take two flying clamps"},
		{4, 3, "head", "[clamps]\nfixed = 1", "the mains take two fixed clamps"},
		{4, 3, "head", "[clamps]\nstarting = 0", "takes a starting clamp"},
		{4, 3, "head", "[clamps]\nstarting = 0\n[crosses]\nstart = \"knot\"", ""},
		{4, 3, "head", "around = true", "write pieces = 1, or around = false"},
		{4, 2, "throat", "pieces = 1\naround = true", "no tie-off hole for the tail of M1L"}, // alone on its side, with nothing to tie it to
		{2, 3, "head", "pieces = 1\naround = true", "too few strands to go around"},
	} {
		f := tiny(t, c.mains, c.crosses, c.start)
		p, err := sequence.Build(f, technique(t, "name = \"t\"\n"+c.sheet+"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
		if c.problem != "" {
			assert.ErrorContains(t, err, c.problem, c)
		} else if assert.NoError(t, err, c) {
			assert.Empty(t, referee.Check(p), c)
		}
	}
}

// The first cross's tail is pulled again once the third cross is; where there is no fourth, at the end.
func TestRepullAfterTheThird(t *testing.T) {
	for crosses, want := range map[int]string{
		2: "C1 C2 tieC2 C1again tieC1", 3: "C1 C2 C3 tieC3 C1again tieC1", 4: "C1 C2 C3 C1again tieC1 C4 tieC4", 5: "C1 C2 C3 C1again tieC1 C4 C5 tieC5",
	} {
		p, err := sequence.Build(tiny(t, 4, crosses, "head"), technique(t, "name = \"t\"\n"), kg(t, "24 kg"), kg(t, "23 kg"))
		require.NoError(t, err)
		require.Empty(t, referee.Check(p))
		var got []string
		for _, s := range p.Steps {
			for _, o := range s.Ops {
				switch {
				case o.Strand == "" || o.Strand[0] != 'C':
				case o.Op == plan.Pull && o.Repull:
					got = append(got, string(o.Strand)+"again")
				case o.Op == plan.Pull:
					got = append(got, string(o.Strand))
				case o.Op == plan.Tie:
					got = append(got, "tie"+string(o.Strand))
				}
			}
		}
		assert.Equal(t, want, strings.Join(got, " "), crosses)
	}
}

// Where a knot can go instead: on the side of the hole, at a named hole however far or beside one tight main within reach,
// the nearest first; nowhere where a knot is, where the hole is split, or where a cross lies.
func TestKnotHoles(t *testing.T) {
	p := build(t, "club-sixteen", "two-piece-clamp")
	tie := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.Tie() != nil })
	r := p.After(tie) // all mains are tight, none is tied, no cross is woven
	tail, from := p.Steps[tie].Tie().Strand, p.Steps[tie].Tie().Out
	reach := p.Terms.ReachSteps()
	last := 0
	holes := sequence.KnotHoles(&p.Terms, r, tail, from)
	require.NotEmpty(t, holes)
	got := map[int]sequence.KnotHole{}
	for _, h := range holes {
		assert.Equal(t, max(r.At(h.Hole)-r.At(from), r.At(from)-r.At(h.Hole)), h.Steps)
		assert.GreaterOrEqual(t, h.Steps, last)
		last = h.Steps
		got[r.At(h.Hole)] = h
	}
	assert.Len(t, holes, len(got), "each once")
	named := map[int]bool{}
	made := map[int]bool{}
	for _, h := range p.Terms.TieMains { // the tail is a main's
		named[r.At(h)], made[r.At(h)] = true, true
	}
	for _, h := range p.Terms.TieCrosses {
		made[r.At(h)] = true
	}
	for place := 1; place <= r.Total(); place++ {
		d := max(place-r.At(from), r.At(from)-place)
		in := r.Through(place)
		right := d > 0 && r.Side(place) == r.Side(r.At(from)) && (named[place] || len(in) == 1 && d <= reach && !r.ToBeThreaded(place))
		h, is := got[place]
		assert.Equal(t, right, is, r.HoleAt(place))
		if is {
			assert.Equal(t, made[place], h.Named)
			assert.Equal(t, len(in) > 0, h.Strand != "")
		}
	}
	require.NoError(t, r.Apply(&plan.Op{Op: plan.Tie, Strand: holes[0].Strand, Out: holes[0].Hole, Hole: holes[0].Hole}))
	for _, h := range sequence.KnotHoles(&p.Terms, r, tail, from) {
		assert.NotEqual(t, holes[0].Hole, h.Hole, "there is a knot in it")
	}
	assert.Equal(t, "8TL, the next hole", sequence.KnotHole{Hole: "8TL", Steps: 1, Named: true}.String())
	assert.Equal(t, "8TL, 2 holes away; not made for a knot: a blunt awl, beside M7L", sequence.KnotHole{Hole: "8TL", Steps: 2, Strand: "M7L"}.String())
	assert.Equal(t, "6TR, 4 holes away, a long run", sequence.KnotHole{Hole: "6TR", Steps: 4, Named: true}.String())
	assert.Equal(t, "7TR, 3 holes away", sequence.KnotHole{Hole: "7TR", Steps: 3, Named: true}.String())
	// Of a split hole the named ones come first, whatever their way.
	done := p.After(tie + 2)
	for _, split := range p.Terms.TieMains {
		if holes := sequence.SplitHoles(p, tie+2, done, split); len(holes) > 0 {
			first := slices.IndexFunc(holes, func(h sequence.KnotHole) bool { return !h.Named })
			assert.True(t, first < 0 || !slices.ContainsFunc(holes[first:], func(h sequence.KnotHole) bool { return h.Named }), split)
		}
	}
	assert.Empty(t, sequence.SplitHoles(p, tie+2, done, p.Steps[tie].Tie().Hole), "it has a knot in it")
	assert.Empty(t, sequence.SplitHoles(p, tie+2, done, "1HL"), "it is not made for a knot")
}
