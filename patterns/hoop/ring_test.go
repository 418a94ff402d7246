package hoop_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"pullcard/patterns/grid"
	"pullcard/patterns/hoop"
)

// stiffAxially is so large an EA that all but only bending is left, and figures stay clear of rounding.
const stiffAxially = 1e9

// ellipse is a ring of n nodes with half axes a along X and b along Y, counter-clockwise from the throat; EI is 1e8 N·mm².
func ellipse(n int, a, b, ea float64) *hoop.Ring {
	r := &hoop.Ring{}
	for i := range n {
		sin, cos := math.Sincos(2*math.Pi*float64(i)/float64(n) - math.Pi/2)
		r.Nodes = append(r.Nodes, grid.Point{X: a * cos, Y: b * sin})
		r.Tube = append(r.Tube, hoop.Section{EI: 1e8, EA: ea})
	}
	return r
}

// outwards pulls a node of a ring with a force away from the middle.
func outwards(r *hoop.Ring, node int, n float64) hoop.Load {
	p := r.Nodes[node]
	l := math.Hypot(p.X, p.Y)
	return hoop.Load{Node: node, X: n * p.X / l, Y: n * p.Y / l}
}

func condense(t testing.TB, r *hoop.Ring, actions []hoop.Action, asked ...int) *hoop.Condensed {
	c, err := r.Condense(actions, append(asked, 0))
	require.NoError(t, err)
	return c
}

// A thin circular ring pulled by two opposite loads W: Timoshenko, Strength of Materials II, thin rings; Roark's Formulas for
// Stress and Strain, circular rings. What straight elements leave over falls fourfold with each halving. The tube's own
// stretching under the thrust W/2·cos adds EI/(EA·R²)·π/4 to the growth along the load.
func TestTwoLoadsOnACircle(t *testing.T) {
	const radius, ei = 130.0, 1e8
	unit := math.Pow(radius, 3) / ei
	var before float64
	for _, n := range []int{36, 72, 144, 288} {
		r := ellipse(n, radius, radius, stiffAxially)
		along := hoop.Action{outwards(r, 0, 1), outwards(r, n/2, 1)}
		across := hoop.Action{outwards(r, n/4, 1), outwards(r, 3*n/4, 1)}
		c := condense(t, r, []hoop.Action{along, across}, 0, n/4, n/2)
		stretch := ei / (stiffAxially * radius * radius) * math.Pi / 4
		grows, shrinks := c.Flex.At(0, 0)/unit-stretch, -c.Flex.At(1, 0)/unit
		wrong := math.Abs(grows - (math.Pi/4 - 2/math.Pi))
		t.Logf("%d elements: %.6f, %.6f", n, grows, shrinks)
		switch n {
		case 36:
			assert.InDelta(t, .147844, grows, 2e-6)
		case 72:
			assert.InDelta(t, .148544, grows, 2e-6)
		case 144:
			assert.InDelta(t, .148720, grows, 2e-6)
		}
		if before > 0 {
			assert.InDelta(t, 4, before/wrong, 0.05)
		}
		before = wrong
		assert.InEpsilon(t, 2/math.Pi-.5, shrinks, 60/float64(n*n)*4)
		under := c.Bending.At(0, 0) / radius
		assert.InEpsilon(t, 1/math.Pi, under, 20/float64(n*n)*4)
		assert.InEpsilon(t, under, c.Bending.At(2, 0)/radius, 1e-6)
		assert.InEpsilon(t, .5-1/math.Pi, -c.Bending.At(1, 0)/radius, 20/float64(n*n)*4)
	}
}

// n equal loads at equal angles, pulling outwards: Roark, circular rings; by symmetry, half the angle α = π/n.
func TestEqualRadialLoads(t *testing.T) {
	const radius = 130.0
	for _, loads := range []int{2, 3, 4, 6, 9} {
		const n = 720
		r := ellipse(n, radius, radius, stiffAxially)
		var a hoop.Action
		for k := range loads {
			a = append(a, outwards(r, k*n/loads, 1))
		}
		α := math.Pi / float64(loads)
		c := condense(t, r, []hoop.Action{a}, 0, n/loads/2)
		assert.InEpsilon(t, radius/2*(1/α-1/math.Tan(α)), c.Bending.At(0, 0), 1e-3, "%d loads, under one", loads)
		assert.InEpsilon(t, radius/2*(1/math.Sin(α)-1/α), -c.Bending.At(1, 0), 1e-3, "%d loads, between two", loads)
	}
}

// A uniform load towards the centre, on the nodes, presses a circle together and bends it nowhere.
func TestUniformLoadBendsNoCircle(t *testing.T) {
	const radius, ea, n = 130.0, 3e6, 144
	r := ellipse(n, radius, radius, ea)
	var a hoop.Action
	for i := range n {
		a = append(a, outwards(r, i, -1))
	}
	across := hoop.Action{outwards(r, n/4, 1), outwards(r, 3*n/4, 1)}
	asked := make([]int, n)
	for i := range asked {
		asked[i] = i
	}
	c := condense(t, r, []hoop.Action{a, across}, asked...)
	for i := range n {
		assert.InDelta(t, 0, c.Bending.At(i, 0), 1e-5)
	}
	p := n / (2 * math.Pi * radius) // N/mm
	assert.InEpsilon(t, -2*p*radius*radius/ea, c.Flex.At(1, 0), 1e-3, "thrust pR over EA is the shortening of the radius")
}

// netLoads are mains and crosses laid densely in a hoop with half axes a and b: per mm of width the mains pull with main, per mm
// of length the crosses with cross, everything on the nodes.
func netLoads(r *hoop.Ring, main, cross float64) (out hoop.Action) {
	n := len(r.Nodes)
	for i, p := range r.Nodes {
		before, next := r.Nodes[(i+n-1)%n], r.Nodes[(i+1)%n]
		width, height := math.Abs(next.X-before.X)/2, math.Abs(next.Y-before.Y)/2
		if i%(n/4) == 0 { // a node at the end of an axis has both its neighbours on one side of it
			width, height = math.Max(width, math.Abs(next.X-before.X)/2), math.Max(height, math.Abs(next.Y-before.Y)/2)
		}
		out = append(out, hoop.Load{Node: i, X: -math.Copysign(cross*height, p.X), Y: -math.Copysign(main*width, p.Y)})
	}
	return out
}

// An ellipse is the line of thrust of its strings, and so bends nowhere, exactly when the loads per length of mains and crosses
// stand as (b/a)²: with the thrust N0 = cross·b at the ends of the short axis and M0 = main·a at those of the long one, the moment
// at (x, y) is M + main·x²/2 + cross·y²/2 for a constant M, which is the same everywhere on x²/a² + y²/b² = 1 only where
// main·a² = cross·b². By hand.
func TestEllipseBendsNowhere(t *testing.T) {
	const a, b, n = 125.0, 165.0, 720
	r := ellipse(n, a, b, stiffAxially)
	const cross = 15.0
	main := cross * b * b / (a * a)
	asked := make([]int, n)
	for i := range asked {
		asked[i] = i
	}
	c := condense(t, r, []hoop.Action{netLoads(r, main, cross), netLoads(r, main*1.1, cross), netLoads(r, main, 0)}, asked...)
	most := [3]float64{}
	for i := range n {
		for j := range most {
			most[j] = math.Max(most[j], math.Abs(c.Bending.At(i, j)))
		}
	}
	t.Logf("largest moment %.3f N·mm in balance, %.0f with mains 10 %% harder, %.0f with mains alone", most[0], most[1], most[2])
	assert.Less(t, most[0], 1e-4*most[1])
	assert.Less(t, most[1], most[2])
}

// An elliptical ring pulled along an axis, by Castigliano's theorem (1879): with the quarter's unknown moment M0 at the end of
// the axis that is not pulled, M(φ) = M0 + W/2·(distance from the line of the load), ∫M ds = 0 and the diameter grows by
// ∫M·∂M/∂W ds/EI over the whole ring; both integrals by quadrature.
func TestEllipseByCastigliano(t *testing.T) {
	const a, b, ei = 125.0, 165.0, 1e8
	speed := func(φ float64) float64 { s, c := math.Sincos(φ); return math.Hypot(a*s, b*c) } // φ from X
	quarter := func(f func(φ float64) float64) float64 {
		return quad.Fixed(func(φ float64) float64 { return f(φ) * speed(φ) }, 0, math.Pi/2, 60, nil, 0)
	}
	// A load W along Y at (0, ±b). At (a, 0) thrust W/2 and moment M0; at φ the lever is a − x.
	lever := func(φ float64) float64 { return a - a*math.Cos(φ) }
	s := quarter(func(float64) float64 { return 1 })
	m0 := -quarter(lever) / 2 / s
	m := func(φ float64) float64 { return m0 + lever(φ)/2 }
	// What the thrust W/2·sin of the tube's direction adds by stretching the tube is small, but not beside the last digits.
	along := quarter(func(φ float64) float64 { s, c := math.Sincos(φ); return math.Pow(b*c/math.Hypot(a*s, b*c)/2, 2) })
	grows := 4*quarter(func(φ float64) float64 { return m(φ) * lever(φ) / 2 })/ei + 4*along/stiffAxially
	var before float64
	for _, n := range []int{144, 288, 576} {
		r := ellipse(n, a, b, stiffAxially)
		c := condense(t, r, []hoop.Action{{outwards(r, 0, 1), outwards(r, n/2, 1)}}, 0, n/4)
		wrong := math.Abs(c.Flex.At(0, 0) - grows)
		assert.InEpsilon(t, grows, c.Flex.At(0, 0), 1e-3)
		assert.InEpsilon(t, m(math.Pi/2), math.Abs(c.Bending.At(0, 0)), 2e-3)
		assert.InEpsilon(t, -m0, math.Abs(c.Bending.At(1, 0)), 2e-3)
		if before > 0 {
			assert.InDelta(t, 4, before/wrong, 0.1)
		}
		before = wrong
	}
}

// Maxwell (1864): what one load moves along another, the other moves along the one. The ring here has no symmetry.
func TestReciprocity(t *testing.T) {
	r := ellipse(60, 125, 165, 3e6)
	for i := range r.Nodes {
		r.Nodes[i].X += 4 * math.Sin(3*float64(i))
		r.Tube[i].EI *= 1 + 0.5*math.Sin(float64(i))
	}
	one := hoop.Action{{Node: 7, X: 1, Y: .3}, {Node: 40, X: -.2, Y: .4}}
	other := hoop.Action{{Node: 23, X: .1, Y: -1}}
	ab := condense(t, r, []hoop.Action{one, other}, 23, 7, 40)
	// The movement of the other's node by the one, and of the one's nodes by the other, each worked out from the nodes.
	there := .1*ab.Moves.At(0, 0) - ab.Moves.At(1, 0)
	back := ab.Moves.At(2, 1) + .3*ab.Moves.At(3, 1) - .2*ab.Moves.At(4, 1) + .4*ab.Moves.At(5, 1)
	assert.InEpsilon(t, there, back, 1e-9)
	assert.InEpsilon(t, there, ab.Flex.At(0, 1), 1e-12)
}

// A ring turned or mirrored gives the same.
func TestRotationAndMirror(t *testing.T) {
	const n = 96
	base := ellipse(n, 125, 165, 3e6)
	actions := []hoop.Action{{{Node: 5, Y: -1}, {Node: n / 2, Y: 1}}, {{Node: n / 4, X: -1}, {Node: 3 * n / 4, X: 1}}}
	want := condense(t, base, actions)
	sin, cos := math.Sincos(0.7)
	for name, move := range map[string]func(x, y float64) (float64, float64){
		"turned":   func(x, y float64) (float64, float64) { return cos*x - sin*y, sin*x + cos*y },
		"mirrored": func(x, y float64) (float64, float64) { return -x, y },
	} {
		r := &hoop.Ring{Tube: base.Tube}
		for _, p := range base.Nodes {
			x, y := move(p.X, p.Y)
			r.Nodes = append(r.Nodes, grid.Point{X: x, Y: y})
		}
		var moved []hoop.Action
		for _, a := range actions {
			var m hoop.Action
			for _, l := range a {
				x, y := move(l.X, l.Y)
				m = append(m, hoop.Load{Node: l.Node, X: x, Y: y})
			}
			moved = append(moved, m)
		}
		got := condense(t, r, moved)
		assert.True(t, mat.EqualApprox(want.Flex, got.Flex, 1e-12), name)
	}
	// Held somewhere else, loads that are in balance see the same ring.
	shifted := &hoop.Ring{Tube: base.Tube}
	for i := range n {
		shifted.Nodes = append(shifted.Nodes, base.Nodes[(i+20)%n])
	}
	pair := hoop.Action{{Node: 60, Y: -1}, {Node: 84, Y: 1}}
	require.InDelta(t, base.Nodes[60].X, base.Nodes[84].X, 1e-9)
	there := hoop.Action{{Node: 40, Y: -1}, {Node: 64, Y: 1}}
	assert.InEpsilon(t, condense(t, base, []hoop.Action{pair}).Flex.At(0, 0), condense(t, shifted, []hoop.Action{there}).Flex.At(0, 0), 1e-9)
}

func TestNoRing(t *testing.T) {
	r := ellipse(12, 125, 165, 3e6)
	r.Nodes[4] = r.Nodes[3]
	push := []hoop.Action{{{Node: 6, Y: 1}}}
	_, err := r.Condense(push, []int{0})
	assert.EqualError(t, err, "nodes 4 and 5 lie in one place")
	r = ellipse(12, 125, 165, 3e6)
	r.Tube[3].EI = -1e9
	_, err = r.Condense(push, []int{0})
	assert.ErrorContains(t, err, "bears no load")
	_, err = (&hoop.Ring{}).Condense(push, []int{0})
	assert.ErrorContains(t, err, "needs to be there")
}
