package referee

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

func TestHoleNames(t *testing.T) {
	r := ring{35, 37}
	for name, pos := range map[plan.Hole]int{
		"1HL": 1, "35TL": 1, "1TL": 35, "35HL": 35, "7HL": 7, "29TL": 7, "18HL": 18, "18TL": 18,
		"1HR": 72, "37TR": 72, "1TR": 36, "37HR": 36, "7HR": 66, "31TR": 66,
	} {
		assert.Equal(t, pos, r.hole(name), name)
	}
	for _, name := range []plan.Hole{"", "H", "HL", "0HL", "36HL", "38HR", "07HL", "-1HL", "7H", "7L", "7hl", "7HX", "7XL",
		"99999999999999999999HL", "٧HL", "7 HL", "7HL "} {
		assert.Zero(t, r.hole(name), name)
	}
	for pos := 1; pos <= r.total(); pos++ {
		assert.Equal(t, pos, r.hole(r.name(pos)))
	}
	assert.Equal(t, plan.Hole("18HL"), r.name(18), "the middle hole is counted from the head")
	assert.Equal(t, plan.Hole("17TL"), r.name(19))
}

func TestStrandNames(t *testing.T) {
	b, breaches := read(new(smallTerms()), "")
	require.Empty(t, breaches)
	for i, name := range []plan.Strand{"M3L", "M2L", "M1L", "M1R", "M2R", "M3R", "C1", "C2", "C3", "C4", "C5"} {
		assert.Equal(t, i, b.find(name), name)
	}
	for _, name := range []plan.Strand{"", "M", "C", "M1", "ML", "M0L", "M4L", "M01L", "C0", "C6", "C1L", "X1", "m1L", "M1L ", "M1000L"} {
		assert.Equal(t, none, b.find(name), name)
	}
}

// point puts a hole on a circle; holes stand at equal distances.
func point(pos, total int) (x, y float64) {
	s, c := math.Sincos(2 * math.Pi * float64(pos) / float64(total))
	return c, s
}

// meet finds where two straight chords of the circle cross inside it, as the part of the way along the first.
// This is plain geometry: the holes' order is not used.
func meet(a, b [2]int, total int) (along float64, ok bool) {
	ax, ay := point(a[0], total)
	bx, by := point(a[1], total)
	cx, cy := point(b[0], total)
	dx, dy := point(b[1], total)
	det := (bx-ax)*(dy-cy) - (by-ay)*(dx-cx)
	if math.Abs(det) < 1e-9 {
		return 0, false
	}
	u := ((cx-ax)*(dy-cy) - (cy-ay)*(dx-cx)) / det
	v := ((cx-ax)*(by-ay) - (cy-ay)*(bx-ax)) / det
	inside := func(x float64) bool { return x > 1e-9 && x < 1-1e-9 }
	return u, inside(u) && inside(v)
}

func TestChordsInterleaveWhereStraightLinesCross(t *testing.T) {
	for total := 4; total <= 12; total++ {
		crossed := 0
		for a := 1; a <= total; a++ {
			for b := a + 1; b <= total; b++ {
				for c := 1; c <= total; c++ {
					for d := 1; d <= total; d++ {
						if c == d {
							continue
						}
						_, want := meet([2]int{a, b}, [2]int{c, d}, total)
						got := interleave([2]int{a, b}, [2]int{c, d})
						require.Equal(t, want, got, "%d–%d and %d–%d of %d", a, b, c, d, total)
						if got {
							crossed++
						}
					}
				}
			}
		}
		// Any four holes give one pair of crossing chords, counted here with the second chord both ways and as first.
		assert.Equal(t, 4*choose(total, 4), crossed)
	}
}

func choose(n, k int) int {
	c := 1
	for i := range k {
		c = c * (n - i) / (i + 1)
	}
	return c
}

// sides are all ways to lay out one side: so many mains' head holes, crosses' holes and mains' throat holes in every
// order in which the heads come before the throats. A word of h, x and t from the head down.
func sides(mains, crosses int) []string {
	var words []string
	var extend func(word string, h, x, t int)
	extend = func(word string, h, x, t int) {
		if h+x+t == 0 {
			words = append(words, word)
			return
		}
		if h > 0 {
			extend(word+"h", h-1, x, t)
		}
		if x > 0 {
			extend(word+"x", h, x-1, t)
		}
		if t > 0 && h == 0 {
			extend(word+"t", h, x, t-1)
		}
	}
	extend("", mains, crosses, mains)
	return words
}

// layout makes terms of a left and a right side.
func layout(left, right string) plan.Terms {
	terms := smallTerms()
	terms.HolesLeft, terms.HolesRight = len(left), len(right)
	terms.Supports, terms.Release, terms.TieMains, terms.TieCrosses = nil, nil, nil, nil
	heads, throats, rows := [2][]int{}, [2][]int{}, [2][]int{}
	for side, word := range []string{left, right} {
		for i, c := range word {
			switch c {
			case 'h':
				heads[side] = append(heads[side], i+1)
			case 't':
				throats[side] = append([]int{i + 1}, throats[side]...)
			case 'x':
				rows[side] = append(rows[side], i+1)
			}
		}
	}
	name := func(n, side int) plan.Hole { return plan.Hole(fmt.Sprintf("%dH%c", n, "LR"[side])) }
	main := func(n, side int) plan.Chord {
		return plan.Chord{Strand: plan.Strand(fmt.Sprintf("M%d%c", n, "LR"[side])),
			Ends: [2]plan.Hole{name(heads[side][n-1], side), name(throats[side][n-1], side)}}
	}
	terms.Mains, terms.Crosses = nil, nil
	for n := len(heads[0]); n >= 1; n-- {
		terms.Mains = append(terms.Mains, main(n, 0))
	}
	for n := 1; n <= len(heads[1]); n++ {
		terms.Mains = append(terms.Mains, main(n, 1))
	}
	for i := range rows[0] {
		terms.Crosses = append(terms.Crosses, plan.Chord{Strand: plan.Strand(fmt.Sprintf("C%d", i+1)),
			Ends: [2]plan.Hole{name(rows[0][i], 0), name(rows[1][i], 1)}})
	}
	return terms
}

// checkLayout compares crossings with straight lines, and proves that the plain weave, over where column and row are
// even together, is what the referee asks for, and that any one cross woven the other way is not.
func checkLayout(t *testing.T, left, right string) {
	terms := layout(left, right)
	table, breaches := New(&terms)
	require.Empty(t, breaches, "%s %s", left, right)
	b := table.bed
	for c := b.mains; c < len(b.strands); c++ {
		place, before := 0, -1.0
		for m := range b.mains {
			along, want := meet(b.strands[c].ends, b.strands[m].ends, b.total())
			x := b.meeting(c, m)
			require.Equal(t, want, x.meet, "%s %s: %s and %s", left, right, b.strands[c].name, b.strands[m].name)
			if !want {
				continue
			}
			require.Equal(t, place, x.across)
			require.Greater(t, along, before)
			place, before = place+1, along
		}
	}
	for m := range b.mains {
		place, before := 0, -1.0
		for c := b.mains; c < len(b.strands); c++ {
			if along, ok := meet(b.strands[m].ends, b.strands[c].ends, b.total()); ok {
				require.Equal(t, place, b.meeting(c, m).down)
				require.Greater(t, along, before)
				place, before = place+1, along
			}
		}
	}
	checkWeave(t, &terms, b)
}

func checkWeave(t *testing.T, terms *plan.Terms, b *bed) {
	crosses := len(b.strands) - b.mains
	// Every cross goes the way that its bit says; one of them, or none (−1), starts on the wrong face.
	for _, ways := range []int{0b000000, 0b111111, 0b010101, 0b011010} {
		for wrong := -1; wrong < crosses; wrong++ {
			table, _ := New(terms)
			for m := range b.mains {
				table.spans[m].laid = true
			}
			clash := 0
			for k := range crosses {
				c := b.mains + k
				op := plainWeave(b, c, ways>>k&1 == 1)
				if k == wrong {
					op.First = map[plan.Face]plan.Face{plan.Over: plan.Under, plan.Under: plan.Over}[op.First]
				}
				enter := b.strands[c].ends[0]
				if ways>>k&1 == 1 {
					enter = b.strands[c].ends[1]
				}
				table.ends[2*c].hole = enter
				table.found = nil
				table.woven(op, c)
				clash += len(table.found)
			}
			require.Equal(t, wrong >= 0 && shares(b, b.mains+wrong), clash > 0, "cross %d wrong", wrong+1)
		}
	}
}

// plainWeave is the op that weaves a cross so that it lies over where column and row are even together.
func plainWeave(b *bed, cross int, fromRight bool) *plan.Op {
	var columns []int
	for m := range b.mains {
		if _, ok := meet(b.strands[cross].ends, b.strands[m].ends, b.total()); ok {
			columns = append(columns, m)
		}
	}
	op := &plan.Op{Op: plan.Weave, Strand: b.strands[cross].name, Meets: len(columns), First: plan.Over}
	if len(columns) == 0 {
		return op
	}
	first := columns[0]
	if fromRight {
		first = columns[len(columns)-1]
	}
	if (first+cross-b.mains)%2 == 1 {
		op.First = plan.Under
	}
	return op
}

// shares says whether a cross meets a main that another cross meets as well.
func shares(b *bed, cross int) bool {
	for m := range b.mains {
		for c := b.mains; c < len(b.strands); c++ {
			if c != cross && b.meeting(c, m).meet && b.meeting(cross, m).meet {
				return true
			}
		}
	}
	return false
}

func TestEverySmallLayout(t *testing.T) {
	sweep.Only(t)
	layouts := 0
	for mains := 1; mains <= 3; mains++ {
		for crosses := 2; crosses <= 6; crosses++ {
			for _, word := range sides(mains, crosses) {
				if layouts++; sweep.Take(layouts, 9) {
					checkLayout(t, word, word)
				}
			}
		}
	}
	// Sides that differ, in holes and in mains.
	for _, pair := range [][2]int{{1, 2}, {2, 1}, {1, 1}, {2, 2}, {1, 3}} {
		for _, left := range sides(pair[0], 2) {
			for _, right := range sides(pair[1], 2) {
				checkLayout(t, left, right)
				layouts++
			}
		}
	}
	t.Logf("%d layouts", layouts)
	assert.Greater(t, layouts, 2000)
}

// The trade's invented layout A meets 292 mains in all: 12, 14, fifteen times 16, 14 and 12. Common practice, no source.
func TestMainsMet(t *testing.T) {
	side := strings.Repeat("h", 6) + "xhxh" + strings.Repeat("x", 15) + "txtx" + strings.Repeat("t", 6)
	terms := layout(side, side)
	table, breaches := New(&terms)
	require.Empty(t, breaches)
	sum := 0
	var met []int
	for c := table.bed.mains; c < len(table.bed.strands); c++ {
		met = append(met, table.bed.met(c))
		sum += met[len(met)-1]
	}
	assert.Equal(t, []int{12, 14, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 16, 14, 12}, met)
	assert.Equal(t, 292, sum)
}

var badTerms = []struct {
	name string
	rule int
	edit func(*plan.Terms)
}{
	{"no holes", ruleHole, func(t *plan.Terms) { t.HolesLeft = 0 }},
	{"too many holes", ruleHole, func(t *plan.Terms) { t.HolesRight = 1 << 40 }},
	{"no mains", ruleHole, func(t *plan.Terms) { t.Mains = nil }},
	{"no crosses", ruleHole, func(t *plan.Terms) { t.Crosses = nil }},
	{"a strand without a name", ruleOnce, func(t *plan.Terms) { t.Crosses[0].Strand = "" }},
	{"a main among the crosses", ruleOnce, func(t *plan.Terms) { t.Crosses[0].Strand = "M1L" }},
	{"a number left out", ruleOnce, func(t *plan.Terms) { t.Crosses = t.Crosses[1:] }},
	{"a hole that is none", ruleHole, func(t *plan.Terms) { t.Mains[0].Ends[0] = "12HL" }},
	{"both ends in one hole", ruleHole, func(t *plan.Terms) { t.Mains[0].Ends[0] = t.Mains[0].Ends[1] }},
	{"a cross from right to left", ruleHole, func(t *plan.Terms) { e := &t.Crosses[0].Ends; e[0], e[1] = e[1], e[0] }},
	{"crosses that cross", ruleWeave, func(t *plan.Terms) {
		a, b := &t.Crosses[1].Ends, &t.Crosses[2].Ends
		a[0], b[0] = b[0], a[0]
	}},
	{"mains that cross", ruleWeave, func(t *plan.Terms) {
		a, b := &t.Mains[1].Ends, &t.Mains[2].Ends
		a[0], b[0] = b[0], a[0]
	}},
	{"two crosses in one hole", ruleWeave, func(t *plan.Terms) { t.Crosses[2].Ends[0] = t.Crosses[1].Ends[0] }},
	{"a number twice", ruleOnce, func(t *plan.Terms) { t.Crosses[1].Strand = "C1" }},
	{"two mains in one hole", ruleWeave, func(t *plan.Terms) { t.Mains[1].Ends[0] = t.Mains[2].Ends[0] }},
	{"a main with head and throat changed", ruleWeave, func(t *plan.Terms) { e := &t.Mains[2].Ends; e[0], e[1] = e[1], e[0] }},
	{"a shared hole that is none", ruleHole, func(t *plan.Terms) { t.Shared = []plan.Hole{"7H"} }},
	{"a tie-off hole that is none", ruleKnot, func(t *plan.Terms) { t.TieMains = []plan.Hole{"40TL"} }},
	{"a lead of four", ruleLead, func(t *plan.Terms) { t.Lead = 4 }},
	{"three pieces", ruleOnce, func(t *plan.Terms) { t.Pieces = 3 }},
	{"a start that is none", ruleTension, func(t *plan.Terms) { t.Start = "glue" }},
	{"an end that is none", ruleTension, func(t *plan.Terms) { t.From = "" }},
	{"three clamps", ruleStock, func(t *plan.Terms) { t.Fixed = 3 }},
	{"fixed and flying clamps", ruleStock, func(t *plan.Terms) { t.Fixed, t.Flying = 1, 1 }},
	{"two starting clamps", ruleStock, func(t *plan.Terms) { t.Starting = 2 }},
	{"no clamp for the crosses", ruleStock, func(t *plan.Terms) { t.CrossClamps = 0 }},
	{"a shared hole with one strand", ruleHole, func(t *plan.Terms) { t.Shared = []plan.Hole{"3HL"} }},
	{"a tension of a strand that is none", ruleTension, func(t *plan.Terms) { t.Pulls = map[plan.Strand]plan.Tension{"M9L": {}} }},
	{"no start of the mains", ruleTension, func(t *plan.Terms) { t.MainsStart = "" }},
	{"no first side", ruleTension, func(t *plan.Terms) { t.First = "" }},
	{"no turns", ruleTension, func(t *plan.Terms) { t.Then = "" }},
	{"a face that is none", ruleTension, func(t *plan.Terms) { t.FirstFace = "beside" }},
	{"no time for the re-pull", ruleTension, func(t *plan.Terms) { t.Repull = "" }},
	{"a short side that is none", ruleTension, func(t *plan.Terms) { t.Pieces, t.Short = 1, "" }},
}

func TestTermsThatDescribeNoRacket(t *testing.T) {
	for _, c := range badTerms {
		p := find(t, samples(t), "clamp L head ahead")
		c.edit(&p.Terms)
		breaches := Check(p)
		require.NotEmpty(t, breaches, c.name)
		assert.Equal(t, []int{c.rule}, rules(breaches), c.name)
		assert.Equal(t, "terms", breaches[0].Doing, c.name)
	}
}

// A strand that has no name, or one hole for both ends, is told once, by the words of the terms.
func TestWhatTermsAreToldOf(t *testing.T) {
	for want, edit := range map[string]func(*plan.Terms){
		`"" is no name for a strand of this kind`: func(t *plan.Terms) { t.Crosses[0].Strand = "" },
		"M3L has one hole, 6HL, for both ends":    func(t *plan.Terms) { t.Mains[0].Ends = [2]plan.Hole{"6HL", "6TL"} },
	} {
		terms := smallTerms()
		edit(&terms)
		_, breaches := New(&terms)
		assert.Equal(t, []string{want}, words(breaches))
	}
}

// One flying clamp pairs two strands as well as two do.
func TestOneFlyingClamp(t *testing.T) {
	for flying := range 3 {
		terms := smallTerms()
		terms.Fixed, terms.Flying = 0, flying
		table, breaches := New(&terms)
		require.Empty(t, breaches)
		assert.Equal(t, flying > 0, table.bed.flying(), flying)
	}
}

// Where all mains are of one side no run joins two centre mains, least of all one to a cross.
func TestMainsOfOneSideHaveNoCentreLoop(t *testing.T) {
	terms := layout("hxxt", "xx")
	table, breaches := New(&terms)
	require.Empty(t, breaches)
	assert.False(t, table.centreLoop(2*table.bed.find("M1L"), 2*table.bed.find("C1")))
}

// Over the centre line string runs the shorter way round; where both are as long, down the left side from the head, as the picture has it.
func TestRunsOverTheCentreLine(t *testing.T) {
	r := ring{11, 11}
	for ends, want := range map[[2]plan.Hole]run{
		{"1HL", "1HR"}: {22, 1}, {"1TL", "1TR"}: {11, 1}, {"1HL", "2TR"}: {13, 10}, {"1HL", "1TR"}: {1, 11}, {"2HL", "2TR"}: {2, 11},
	} {
		assert.Equal(t, want, r.run(r.hole(ends[0]), r.hole(ends[1])), ends)
		assert.Equal(t, want, r.run(r.hole(ends[1]), r.hole(ends[0])), ends)
	}
}
