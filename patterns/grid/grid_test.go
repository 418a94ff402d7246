package grid_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/grid/gridtest"
	"pullcard/patterns/library"
)

func lay(t require.TestingT, f *patterns.Frame) *grid.Grid {
	g, err := grid.New(f, grid.Measured{})
	require.NoError(t, err)
	return g
}

var small = gridtest.Ellipse(250, 185)

// The pitches of 16 × 19 on 330 × 250 mm are common knowledge of the trade: about 12.5 and 14.6 mm.
func TestEvenGrid(t *testing.T) {
	g := lay(t, gridtest.Sixteen(gridtest.Ellipse(330, 250)))
	assert.True(t, g.Even())
	assert.InDelta(t, 12.5, g.MainPitchMM, 0.05)
	assert.InDelta(t, 14.6, g.CrossPitchMM, 0.05)
	assert.Equal(t, grid.Point{}, g.Middle)
	assert.InDelta(t, 647.95348, g.AreaCM2(), 1e-4)
	assert.InDelta(t, 100.43299, g.AreaIn2(), 1e-4)
	for i, l := range g.Columns {
		x := (float64(i) - 7.5) * g.MainPitchMM
		assert.InDelta(t, g.Shape.MainMM(x), l.MM(), 1e-5)
		assert.InDelta(t, x, l.Ends[0].X, 1e-6)
		assert.InDelta(t, x, l.Ends[1].X, 1e-6)
	}
	for j, l := range g.Rows {
		assert.InDelta(t, g.Shape.CrossMM((9-float64(j))*g.CrossPitchMM), l.MM(), 1e-5)
	}
	assert.Equal(t, g.Columns[7].MM(), g.SpanMM(patterns.MainStrand(1, patterns.Left)))
	assert.Equal(t, g.Columns[8].MM(), g.SpanMM(patterns.MainStrand(1, patterns.Right)))
	assert.Equal(t, g.Rows[18].MM(), g.SpanMM(patterns.CrossStrand(19)))
	assert.Zero(t, g.SpanMM(patterns.CrossStrand(20)))
	assert.Zero(t, g.SpanMM(patterns.MainStrand(9, patterns.Right)))
	assert.Zero(t, g.SpanMM(patterns.MainStrand(0, patterns.Right)))
}

// No even grid near by spreads the holes more evenly: the entropy −Σ g·ln g of the gaps of a quarter of the hoop, worked
// out here by itself, is the largest.
func TestMostEven(t *testing.T) {
	g := lay(t, gridtest.Sixteen(gridtest.Ellipse(330, 250)))
	entropy := func(main, cross float64) (sum float64) {
		var at []float64
		for k := range 8 {
			x := (float64(k) + 0.5) * main
			at = append(at, arc(165, 125, grid.Point{X: x, Y: 165 * math.Sqrt(1-x*x/125/125)}))
		}
		for j := range 10 {
			y := float64(j) * cross
			at = append(at, arc(165, 125, grid.Point{X: 125 * math.Sqrt(1-y*y/165/165), Y: y}))
		}
		slices.Sort(at)
		mean := g.Shape.PerimeterMM() / 70
		sum = -at[0] / mean * math.Log(2*at[0]/mean) // half of the gap at the head's centre
		for i := 1; i < len(at); i++ {
			gap := (at[i] - at[i-1]) / mean
			sum -= gap * math.Log(gap)
		}
		return sum
	}
	best := entropy(g.MainPitchMM, g.CrossPitchMM)
	for _, d := range [][2]float64{{.02, 0}, {-.02, 0}, {0, .02}, {0, -.02}, {.02, .02}, {-.02, -.02}, {.02, -.02}, {-.02, .02}} {
		assert.Greater(t, best, entropy(g.MainPitchMM+d[0], g.CrossPitchMM+d[1]), "%v", d)
	}
}

// An even grid depends on the hoop's proportions only as the hoop is stretched: twice the size, twice the pitch.
func TestGridScales(t *testing.T) {
	one := lay(t, gridtest.Twenty(gridtest.Ellipse(330, 250)))
	two := lay(t, gridtest.Twenty(gridtest.Ellipse(660, 500)))
	assert.InDelta(t, 2*one.MainPitchMM, two.MainPitchMM, 0.01)
	assert.InDelta(t, 2*one.CrossPitchMM, two.CrossPitchMM, 0.01)
}

// Head and throat of these frames differ, or mains and crosses share holes: no strictly even grid has their order with
// room for every hole, so the outer ends give way, by no more than half a pitch.
func TestUnevenFrames(t *testing.T) {
	for _, c := range []struct {
		frame       *patterns.Frame
		main, cross float64
		most        float64
	}{
		{gridtest.Twenty(gridtest.Ellipse(330, 250)), 11, 14.7, 0.15},
		{gridtest.Shuttle(small), 7.3, 10.2, 0.5},
	} {
		g := lay(t, c.frame)
		assert.False(t, g.Even(), c.frame.Name)
		assert.InDelta(t, c.main, g.MainPitchMM, 0.1)
		assert.InDelta(t, c.cross, g.CrossPitchMM, 0.1)
		assert.Less(t, g.Middle.Y, 0.0, "the pattern lies nearer the throat")
		for _, d := range g.Departures {
			assert.LessOrEqual(t, math.Abs(d.Pitches), c.most, "%s at %s", d.Strand, c.frame.HoleName(d.Hole))
		}
		inner := map[patterns.Strand]bool{patterns.MainStrand(1, patterns.Left): true, patterns.MainStrand(4, patterns.Right): true, patterns.CrossStrand(10): true}
		for _, d := range g.Departures {
			assert.False(t, inner[d.Strand], "%s gives way", d.Strand)
		}
		assert.Empty(t, g.Illegal())
	}
}

// A shared hole is one place for both of its strands.
func TestSharedHole(t *testing.T) {
	f := gridtest.Shuttle(small)
	g := lay(t, f)
	require.NotEmpty(t, f.Shared)
	m, _ := g.Line(patterns.MainStrand(11, patterns.Left))
	c, _ := g.Line(patterns.CrossStrand(19))
	assert.Equal(t, m.Ends[1], c.Ends[0])
}

// inside says whether two lines cross in the plane.
func inside(a, b grid.Line) bool {
	turn := func(p, q, r grid.Point) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	return turn(a.Ends[0], a.Ends[1], b.Ends[0])*turn(a.Ends[0], a.Ends[1], b.Ends[1]) < -1e-9 &&
		turn(b.Ends[0], b.Ends[1], a.Ends[0])*turn(b.Ends[0], b.Ends[1], a.Ends[1]) < -1e-9
}

// wellLaid checks what every grid keeps: the holes' order along the hoop, the room between them, and that strands
// cross in the plane exactly where their chords interleave.
func wellLaid(t require.TestingT, g *grid.Grid) {
	f := g.Frame
	along := func(p grid.Point) float64 { // the angle round the hoop, from the head down the left side
		a := math.Atan2(-p.X/f.Hoop.WidthMM, p.Y/f.Hoop.LengthMM)
		if a < 0 {
			a += 2 * math.Pi
		}
		return a
	}
	var places []float64
	var points []grid.Point
	for n := 1; n <= f.Total(); n++ {
		h := patterns.Hole{Side: patterns.Left, N: n}
		if n > f.Holes[patterns.Left] {
			h = patterns.Hole{Side: patterns.Right, N: f.Total() + 1 - n}
		}
		p, ok := g.Hole(h)
		require.True(t, ok, "hole %s", f.HoleName(h))
		places, points = append(places, along(p)), append(points, p)
	}
	falls := 0 // a centre main at the head may lie a hair on the other side: the order may begin anywhere
	for i := range places {
		if places[(i+1)%len(places)] < places[i] {
			falls++
		}
		if i > 0 {
			require.Greater(t, points[i].To(points[i-1]), grid.MinGapMM*0.9)
		}
	}
	require.Equal(t, 1, falls, "the holes' order")
	for i, m := range f.Columns() {
		for j, c := range f.Crosses {
			require.Equal(t, f.Interleaves(c, m), inside(g.Columns[i], g.Rows[j]), "%s and %s", m.Strand, c.Strand)
		}
	}
}

func TestOrderAndCrossings(t *testing.T) {
	odd := gridtest.Skipping("odd", 16, 19, gridtest.Ellipse(330, 250), 7, 9)
	for _, f := range []*patterns.Frame{gridtest.Sixteen(gridtest.Ellipse(330, 250)), gridtest.Twenty(gridtest.Ellipse(345, 260)),
		gridtest.Shuttle(small), gridtest.Dense(gridtest.Ellipse(330, 250)), odd} {
		wellLaid(t, lay(t, f))
	}
}

func TestAnyFrame(t *testing.T) {
	laid := 0
	rapid.Check(t, func(t *rapid.T) {
		half := rapid.IntRange(3, 11).Draw(t, "half the mains")
		skip := rapid.SliceOfNDistinct(rapid.IntRange(2, half+3), 0, 4, rapid.ID).Draw(t, "skip")
		hoop := patterns.Hoop{LengthMM: rapid.Float64Range(200, 400).Draw(t, "length"), WidthMM: rapid.Float64Range(150, 300).Draw(t, "width"),
			Exponent: rapid.Float64Range(1.5, 3.5).Draw(t, "exponent")}
		crosses := rapid.IntRange(8, 24).Draw(t, "crosses")
		for _, k := range skip {
			if len(skip) > crosses/2 || k > half+crosses/2 {
				t.Skip("more skipped than crosses")
			}
		}
		g, err := grid.New(gridtest.Skipping("any", 2*half, crosses, hoop, skip...), grid.Measured{})
		if err != nil {
			assert.ErrorContains(t, err, "collide")
			return
		}
		laid++
		wellLaid(t, g)
	})
	assert.Positive(t, laid)
}

// A centre main and sides that differ: 17 mains, the odd one on the left, its holes next to the centre line.
func TestCentreMain(t *testing.T) {
	f := gridtest.Make(gridtest.Layout{Name: "odd", Sport: patterns.Tennis, Holes: 37, HolesRight: 35, Hoop: gridtest.Ellipse(330, 250),
		Head: "1H 2H 3H 4H 5H 6H 7H 9H 11H", Throat: "1T 2T 3T 4T 5T 6T 7T 9T 11T",
		HeadRight: "1H 2H 3H 4H 5H 6H 8H 10H", ThroatRight: "1T 2T 3T 4T 5T 6T 8T 10T",
		Crosses:      "8H 10H 12H 13H 14H 15H 16H 17H 18H 19H 18T 17T 16T 15T 14T 13T 12T 10T 8T",
		CrossesRight: "7H 9H 11H 12H 13H 14H 15H 16H 17H 18H 17T 16T 15T 14T 13T 12T 11T 9T 7T"})
	g := lay(t, f)
	wellLaid(t, g)
	assert.InDelta(t, 0, g.Middle.X, 1.5)
	assert.InDelta(t, 0, g.Columns[8].Ends[0].X, 1.5, "the ninth of seventeen mains stands in the middle")
}

func TestMeasuredWins(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	g, err := grid.New(f, grid.Measured{MainPitchMM: 12, CrossPitchMM: 14.2})
	require.NoError(t, err)
	assert.Equal(t, 12.0, g.MainPitchMM)
	assert.Equal(t, 14.2, g.CrossPitchMM)

	g, err = grid.New(f, grid.Measured{MainPitchMM: 12})
	require.NoError(t, err)
	assert.Equal(t, 12.0, g.MainPitchMM)
	assert.InDelta(t, 14.6, g.CrossPitchMM, 0.6)

	h := patterns.Hole{Side: patterns.Right, N: 7}
	free := lay(t, f)
	p, _ := free.Hole(h)
	q, _ := free.Hole(patterns.Hole{Side: patterns.Left, N: 7})
	assert.InDelta(t, p.X, -q.X, 1e-9)
	g, err = grid.New(f, grid.Measured{Along: map[patterns.Hole]float64{h: 101}})
	require.NoError(t, err)
	wellLaid(t, g)
	p, _ = g.Hole(h)
	assert.InDelta(t, 101, arc(165, 125, p), 0.01, "the measured hole stays where it was measured")
	assert.False(t, g.Even())

	// Places measured on a frame with a narrower pitch bring its pitch out, and like places on both sides a like grid.
	narrow, err := grid.New(f, grid.Measured{MainPitchMM: 11.8})
	require.NoError(t, err)
	places := map[patterns.Hole]float64{}
	for _, s := range patterns.Sides() {
		for n := 1; n <= 35; n++ {
			h := patterns.Hole{Side: s, N: n}
			p, _ := narrow.Hole(h)
			places[h] = arc(165, 125, p)
		}
	}
	g, err = grid.New(f, grid.Measured{Along: places})
	require.NoError(t, err)
	assert.InDelta(t, 11.8, g.MainPitchMM, 0.01)
	assert.InDelta(t, narrow.CrossPitchMM, g.CrossPitchMM, 0.01)
	assert.InDelta(t, 0, g.Middle.X, 0.01)

	_, err = grid.New(f, grid.Measured{MainPitchMM: 17})
	assert.ErrorContains(t, err, "measure")
	_, err = grid.New(f, grid.Measured{Along: map[patterns.Hole]float64{h: 101, {Side: patterns.Right, N: 8}: 103}})
	assert.ErrorContains(t, err, "collide")
}

// A pitch measured in the middle holds there; towards the hoop strands spread smoothly, so that the holes keep their order.
func TestMeasuredInTheMiddle(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	for _, m := range []grid.Measured{{MainPitchMM: 10.5, CrossPitchMM: 12.5}, {MainPitchMM: 10.5}, {MainPitchMM: 11.5, CrossPitchMM: 13}, {CrossPitchMM: 12.5}, {MainPitchMM: 13, CrossPitchMM: 15}} {
		g, err := grid.New(f, m)
		require.NoError(t, err, "%+v", m)
		wellLaid(t, g)
		mains, crosses := g.Density()
		if m.MainPitchMM > 0 {
			assert.InEpsilon(t, m.MainPitchMM, mains.CentreMM, 0.01)
			assert.Equal(t, m.MainPitchMM, g.MainPitchMM)
		}
		if m.CrossPitchMM > 0 {
			assert.InEpsilon(t, m.CrossPitchMM, crosses.CentreMM, 0.01)
		}
		assert.Empty(t, g.Illegal(), "what is fitted breaks no rule")
		t.Logf("%+v: spread %.2f and %.2f, farthest off %v", m, g.SpreadMain, g.SpreadCross, len(g.Departures))
		if m.MainPitchMM == 10.5 && m.CrossPitchMM == 12.5 { // the gaps grow from the middle out
			assert.Greater(t, g.SpreadMain, 0.05)
			last := 0.0
			for i := 8; i < 15; i++ {
				gap := (g.Columns[i+1].Ends[0].X + g.Columns[i+1].Ends[1].X - g.Columns[i].Ends[0].X - g.Columns[i].Ends[1].X) / 2
				assert.Greater(t, gap, last-0.6, "main %d", i-6)
				last = gap
			}
		}
	}
}

// arc is the ellipse's length from the head to a point, summed up in small steps.
func arc(b, a float64, p grid.Point) float64 {
	end, sum := math.Atan2(math.Abs(p.X)/a, p.Y/b), 0.0
	const steps = 20000
	for i := range steps {
		u, v := end*float64(i)/steps, end*float64(i+1)/steps
		sum += math.Hypot(a*(math.Sin(v)-math.Sin(u)), b*(math.Cos(v)-math.Cos(u)))
	}
	return sum
}

// On these hoops the order is impossible, and the message names holes that are part of the trouble.
func TestCollisions(t *testing.T) {
	for _, c := range []struct {
		name  string
		frame *patterns.Frame
		says  []string
	}{
		{"too small", gridtest.Sixteen(gridtest.Ellipse(90, 60)), []string{"7H and 8H (", "4 mm", "90 × 60 mm"}},
		{"all but a rectangle", gridtest.Sixteen(patterns.Hoop{LengthMM: 330, WidthMM: 250, Exponent: 20}), []string{"holes 7H to 8H collide", "M7L", "holes 8T to 7T"}},
		{"crosses among the centre mains", gridtest.Skipping("x", 16, 19, gridtest.Ellipse(330, 250), 2, 3, 4), []string{"holes 2H to 7H collide", "C3"}},
	} {
		_, err := grid.New(c.frame, grid.Measured{})
		for _, s := range c.says {
			assert.ErrorContains(t, err, s, c.name)
		}
	}
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	f.Hoop = nil
	_, err := grid.New(f, grid.Measured{})
	assert.ErrorContains(t, err, "no hoop")
	f = gridtest.Sixteen(gridtest.Ellipse(330, 250))
	f.Crosses = nil
	_, err = grid.New(f, grid.Measured{})
	assert.ErrorContains(t, err, "without crosses")
}

func TestDensity(t *testing.T) {
	g := lay(t, gridtest.Sixteen(gridtest.Ellipse(330, 250)))
	m, c := g.Density()
	assert.InDelta(t, g.MainPitchMM, m.CentreMM, 1e-6)
	assert.InDelta(t, g.MainPitchMM, m.EdgeMM, 1e-6)
	assert.InDelta(t, g.CrossPitchMM, c.EdgeMM, 1e-6)
	assert.False(t, m.LessInCentre())
	assert.True(t, grid.Density{CentreMM: 13, EdgeMM: 12}.LessInCentre())
	assert.False(t, grid.Density{CentreMM: 11, EdgeMM: 12}.LessInCentre())
	assert.Empty(t, g.Illegal())

	// Measured places may be less dense in the centre.
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	squeezed := map[patterns.Hole]float64{}
	for _, s := range patterns.Sides() {
		for i, along := range []float64{9, 25, 40, 50, 60, 71} {
			squeezed[patterns.Hole{Side: s, N: i + 1}] = along
			squeezed[patterns.Hole{Side: s, N: 35 - i}] = g.Shape.PerimeterMM()/2 - along
		}
	}
	g, err := grid.New(f, grid.Measured{MainPitchMM: 12.5, Along: squeezed})
	require.NoError(t, err)
	x := func(i int) float64 { return (g.Columns[i].Ends[0].X + g.Columns[i].Ends[1].X) / 2 }
	assert.InDelta(t, 0, g.Columns[1].Ends[0].X+g.Columns[14].Ends[0].X, 0.01, "like sides stay alike")
	m, _ = g.Density()
	assert.InDelta(t, (x(10)-x(5))/5, m.CentreMM, 0.01, "the middle third of fifteen gaps")
	assert.InDelta(t, (x(5)-x(0))/5, m.EdgeMM, 0.01, "an outer third")
	assert.Len(t, g.Illegal(), 1)
	assert.Contains(t, g.Illegal()[0], "mains")
	f.Sport = patterns.Squash
	assert.Empty(t, g.Illegal(), "squash has no such rule")
}

// Every frame of the library has a grid, and lengths that are not doubted.
func TestLibrary(t *testing.T) {
	for _, name := range library.Layouts() {
		data, _ := library.Layout(name)
		f, _, err := patterns.ReadLayout(name, data)
		require.NoError(t, err, name)
		if f.Hoop == nil {
			continue
		}
		g, err := grid.New(f, grid.Measured{})
		require.NoError(t, err, name)
		wellLaid(t, g)
		assert.Empty(t, g.Illegal(), name)
		for _, c := range []grid.Course{mains(f, f.Start), crosses(f), whole(f)} {
			assert.Empty(t, cut(t, g, c, grid.Usual()).Implausible(f.Sport), name)
		}
	}
}

// A parallel curve outside the hoop: all runs together are the hoop and once round the wall's thickness.
func TestRunsOutside(t *testing.T) {
	f := gridtest.Shuttle(small)
	g := lay(t, f)
	sum, inside := 0.0, 0.0
	for n := range f.Holes[patterns.Left] {
		h, next := patterns.Hole{Side: patterns.Left, N: n + 1}, patterns.Hole{Side: patterns.Left, N: n + 2}
		if n == 0 {
			r := patterns.Hole{Side: patterns.Right, N: 1}
			sum, inside = sum+g.OutsideMM(h, r, 12)/2, inside+g.OutsideMM(h, r, 0)/2
		}
		if n+1 == f.Holes[patterns.Left] {
			next = patterns.Hole{Side: patterns.Right, N: n + 1}
			sum, inside = sum+g.OutsideMM(h, next, 12)/2, inside+g.OutsideMM(h, next, 0)/2
			break
		}
		sum, inside = sum+g.OutsideMM(h, next, 12), inside+g.OutsideMM(h, next, 0)
	}
	assert.InDelta(t, g.Shape.PerimeterMM()/2, inside, 1e-5)
	assert.InDelta(t, g.Shape.PerimeterMM()/2+12*math.Pi, sum, 1e-5)
}

func BenchmarkGridAndLengths(b *testing.B) {
	tennis, squarish := gridtest.Ellipse(330, 250), patterns.Hoop{LengthMM: 250, WidthMM: 185, Exponent: 2.3}
	for _, f := range []*patterns.Frame{gridtest.Sixteen(tennis), gridtest.Dense(tennis), gridtest.Twenty(tennis), gridtest.Shuttle(small), gridtest.Shuttle(squarish)} {
		b.Run(fmt.Sprintf("%s %g", f.Name, f.Hoop.Exponent), func(b *testing.B) {
			courses := []grid.Course{mains(f, patterns.Head), crosses(f)}
			for b.Loop() {
				g := lay(b, f)
				for _, c := range courses {
					if _, err := g.Cut(c, grid.Usual()); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
