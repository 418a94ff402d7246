package grid_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/grid/gridtest"
	_ "pullcard/patterns/sweep" // for what is drawn
)

func cut(t require.TestingT, g *grid.Grid, c grid.Course, p grid.Practice) grid.Piece {
	piece, err := g.Cut(c, p)
	require.NoError(t, err)
	return piece
}

func total(p grid.Piece, k grid.Kind) (mm float64) {
	for _, t := range p.Terms {
		if t.Kind == k {
			mm += t.MM
		}
	}
	return mm
}

// Every term of the mains, against the even grid of an ellipse worked out here by itself.
func TestMainsTermByTerm(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	g := lay(t, f)
	p := cut(t, g, mains(f, patterns.Head), grid.Practice{WallMM: 12, ReachMM: 400, TapeMM: 5})
	spans, loops := 0.0, 0.0
	at := func(k float64) (x, y, φ float64) {
		x = (k - 0.5) * g.MainPitchMM
		y = 165 * math.Sqrt(1-x*x/125/125)
		return x, y, math.Atan2(x*165/125, y*125/165) // the rim's normal against the racket's axis
	}
	for k := 1.0; k <= 8; k++ {
		_, y, _ := at(k)
		spans += 4 * y
		if k > 1 {
			x, y, φ := at(k)
			x0, y0, φ0 := at(k - 1)
			loops += 2 * (arc(165, 125, grid.Point{X: x, Y: y}) - arc(165, 125, grid.Point{X: x0, Y: y0}) + 12*(φ-φ0))
		}
	}
	x, y, φ := at(1)
	centre := 2 * (arc(165, 125, grid.Point{X: x, Y: y}) + 12*φ)
	assert.InDelta(t, spans, total(p, grid.Span), 1e-4)
	assert.InDelta(t, 16*2*12, total(p, grid.Wall), 1e-9)
	assert.InDelta(t, loops, total(p, grid.Run), 1e-3)
	assert.InDelta(t, centre, total(p, grid.Loop), 1e-3)
	assert.InDelta(t, 800, total(p, grid.Reach), 1e-9)
	assert.Zero(t, total(p, grid.Weaving)+total(p, grid.Knot))
	assert.InDelta(t, grid.RoundUp(spans+384+loops+centre+800, 5), p.CutMM, 1e-9)
	assert.Equal(t, p.CutMM/2, p.ShortMM)
	assert.Equal(t, patterns.Tennis, f.Sport)
	assert.Len(t, p.Terms, 16+2+14+1+2+1)
}

// Common practice: mains of a tennis racket take 5.8 to 6.4 m, crosses 5.2 to 5.8 m, one piece 11 to 12 m, and the
// short side half a racket's length a main and half a length more.
func TestUsualLengths(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	g := lay(t, f)
	for _, c := range []grid.Course{mains(f, patterns.Throat), crosses(f), whole(f)} {
		p := cut(t, g, c, grid.Usual())
		b, ok := grid.UsualBand(f.Sport, c.Name)
		require.True(t, ok)
		assert.True(t, p.CutMM >= b.Min && p.CutMM <= b.Max, "%s: %.0f mm", c.Name, p.CutMM)
		assert.Empty(t, p.Implausible(f.Sport))
	}
	one := cut(t, g, whole(f), grid.Usual())
	const racket = 685
	assert.InDelta(t, racket/2*(8+1), one.ShortMM, 100)
	assert.Zero(t, cut(t, g, crosses(f), grid.Usual()).ShortMM)
	big := lay(t, gridtest.Sixteen(gridtest.Ellipse(450, 390)))
	assert.Contains(t, cut(t, big, mains(f, patterns.Head), grid.Usual()).Implausible(patterns.Tennis), "measure")
	assert.Empty(t, grid.Piece{Name: "mains", CutMM: 1}.Implausible(patterns.Squash), "no band is known")
}

func TestShortSide(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	g := lay(t, f)
	c := whole(f)
	p := cut(t, g, c, grid.Usual())
	left := cut(t, g, grid.Course{Name: "left", Arms: [2]grid.Arm{c.Arms[0]}}, grid.Practice{WallMM: 12, ReachMM: 400})
	loop := cut(t, g, grid.Course{Name: "loop", Loop: c.Loop}, grid.Practice{WallMM: 12})
	assert.InDelta(t, left.CutMM-400+loop.CutMM/2, p.ShortMM, 5, "its spans, its runs, half the loop and its reach")
	assert.Greater(t, p.ShortMM, left.CutMM-400+loop.CutMM/2-1e-6)

	// The skipped start: C1 is the short arm, the second cross begins the long one.
	x := crosses(f)
	x.Arms[1] = grid.Arm{Name: "short", Spans: x.Arms[0].Spans[:1]}
	x.Arms[0].Spans = x.Arms[0].Spans[1:]
	x.Loop, x.Arms[0].Runs = &x.Arms[0].Runs[0], x.Arms[0].Runs[1:]
	s := cut(t, g, x, grid.Practice{WallMM: 12, ReachMM: 400, TapeMM: 1})
	assert.InDelta(t, g.Rows[0].MM()+24+g.OutsideMM(x.Loop[0], x.Loop[1], 12)/2+400, s.ShortMM, 1)
	assert.InDelta(t, cut(t, g, crosses(f), grid.Practice{WallMM: 12, ReachMM: 400, TapeMM: 1}).CutMM, s.CutMM, 1e-9, "the same string, begun elsewhere")
	assert.Equal(t, cut(t, g, crosses(f), grid.Usual()).CutMM, cut(t, g, x, grid.Usual()).CutMM, "one margin to weave with")
	assert.InDelta(t, s.ShortMM, cut(t, g, x, grid.Usual()).ShortMM, 5, "which the long end has")
}

func TestStartingKnot(t *testing.T) {
	f := gridtest.Sixteen(gridtest.Ellipse(330, 250))
	g := lay(t, f)
	c := crosses(f)
	clamped := cut(t, g, c, grid.Usual())
	c.Arms[1].Knotted = true
	knotted := cut(t, g, c, grid.Usual())
	assert.InDelta(t, 200, clamped.CutMM-knotted.CutMM, 1e-9, "a knot's tail instead of the reach, not both")
	assert.InDelta(t, 400, total(knotted, grid.Reach), 1e-9)
	assert.InDelta(t, 200, total(knotted, grid.Knot), 1e-9)
}

func TestTermsAddUp(t *testing.T) {
	f := gridtest.Shuttle(small)
	g := lay(t, f)
	rapid.Check(t, func(t *rapid.T) {
		p := grid.Practice{WallMM: rapid.Float64Range(5, 20).Draw(t, "wall"), ReachMM: rapid.Float64Range(0, 500).Draw(t, "reach"),
			KnotMM: 150, WeaveMM: rapid.Float64Range(0, 200).Draw(t, "weave"), TapeMM: rapid.SampledFrom([]float64{0, 1, 5, 10, 6.35}).Draw(t, "tape")}
		c := rapid.SampledFrom([]grid.Course{mains(f, patterns.Head), crosses(f), whole(f)}).Draw(t, "course")
		piece := cut(t, g, c, p)
		sum, grouped := 0.0, 0.0
		for _, term := range piece.Terms {
			assert.GreaterOrEqual(t, term.MM, 0.0)
			sum += term.MM
		}
		for _, term := range piece.Sums() {
			grouped += term.MM
		}
		assert.InDelta(t, piece.CutMM, sum, 1e-6)
		assert.InDelta(t, piece.CutMM, grouped, 1e-6)
		assert.LessOrEqual(t, total(piece, grid.Rounding), p.TapeMM)
		assert.LessOrEqual(t, piece.ShortMM, piece.CutMM/2+p.TapeMM)
	})
}

func TestCutOfWhatIsNotThere(t *testing.T) {
	g := lay(t, gridtest.Sixteen(gridtest.Ellipse(330, 250)))
	_, err := g.Cut(grid.Course{Name: "mains", Arms: [2]grid.Arm{{Spans: []patterns.Strand{patterns.MainStrand(9, patterns.Left)}}}}, grid.Usual())
	assert.EqualError(t, err, "cut mains: the frame has no strand M9L")
	nowhere := [2]patterns.Hole{{Side: patterns.Left, N: 1}, {Side: patterns.Left, N: 36}}
	_, err = g.Cut(grid.Course{Name: "mains", Loop: &nowhere}, grid.Usual())
	assert.ErrorContains(t, err, "no string passes hole")
	_, err = g.Cut(grid.Course{Name: "mains", Arms: [2]grid.Arm{{Runs: [][2]patterns.Hole{nowhere}}}}, grid.Usual())
	assert.ErrorContains(t, err, "no string passes hole")
}

func TestStock(t *testing.T) {
	set := grid.Stock{Name: "the set", MM: grid.UsualSetMM}
	left, err := set.Take(grid.Piece{CutMM: 6100}, grid.Piece{CutMM: 5800})
	require.NoError(t, err)
	assert.InDelta(t, 100, left.MM, 1e-9)
	left, err = set.Half().Take(grid.Piece{CutMM: 6100})
	assert.Equal(t, 6000.0, left.MM, "nothing is taken")
	var short *grid.ShortError
	require.True(t, errors.As(err, &short))
	assert.InDelta(t, 100, short.MissingMM(), 1e-9)
	assert.EqualError(t, err, "half of the set holds 6000 mm, the pieces take 6100 mm: 100 mm (4 in) are missing; take a longer one")
	_, err = grid.Stock{Name: "x", MM: 5000}.Take(grid.Piece{CutMM: 5000})
	assert.NoError(t, err)
}

func TestTape(t *testing.T) {
	for mm, want := range map[float64]string{0: "0 in", 25.4: "1 in", 25.5: "1 1/4 in", 304.8: "1 ft 0 in", 6175: "20 ft 3 1/4 in", 304.7: "1 ft 0 in", 12.7: "1/2 in", 305: "1 ft 1/4 in", 254: "10 in", 266.7: "10 1/2 in"} {
		assert.Equal(t, want, grid.FeetInches(mm), "%g mm", mm)
	}
	assert.Equal(t, 6085.0, grid.RoundUp(6080.01, 5))
	assert.Equal(t, 6080.0, grid.RoundUp(6080, 5))
	assert.Equal(t, 6080.2, grid.RoundUp(6080.2, 0))
	rapid.Check(t, func(t *rapid.T) {
		mm, step := rapid.Float64Range(0, 20000).Draw(t, "mm"), rapid.Float64Range(0.5, 25).Draw(t, "step")
		up := grid.RoundUp(mm, step)
		assert.True(t, up >= mm-1e-5 && up < mm+step+1e-5)
	})
}
