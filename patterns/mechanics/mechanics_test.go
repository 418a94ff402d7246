package mechanics_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
)

func rect(t require.TestingT, nx, ny int, hx, hy float64, main, cross mechanics.Cord) *mechanics.Net {
	n, err := mechanics.Rect(nx, ny, hx, hy, main, cross)
	require.NoError(t, err)
	return n
}

func modes(t require.TestingT, n *mechanics.Net, count int) []mechanics.Mode {
	m, err := n.Modes(count)
	require.NoError(t, err)
	return m
}

// omega2 is (2πf)² in 1/s².
func omega2(hz float64) float64 { return math.Pow(2*math.Pi*hz, 2) }

// A single string is a net whose crosses are slack and weigh nothing. Textbook: k = 4T/L at mid-length,
// f = √(T/μ)/(2L).
func TestOneString(t *testing.T) {
	const tension, gpm, length = 240.0, 1.5, 330.0
	for _, n := range []int{1, 9, 99} {
		s := rect(t, 1, n, 10, length/float64(n+1), mechanics.Cord{TensionN: tension, MassGPM: gpm}, mechanics.Cord{})
		mid := s.Nearest(grid.Point{})
		assert.InEpsilon(t, 4*tension/length, float64(s.Stiffness(s.Point(mid), mid)), 1e-10)
		exact := math.Sqrt(tension/(gpm/1000)) / (2 * length / 1000)
		// n beads on a string ring lower than the string by the factor sin(φ)/φ, φ = π/(2(n + 1)).
		φ := math.Pi / 2 / float64(n+1)
		assert.InEpsilon(t, exact*math.Sin(φ)/φ, modes(t, s, 1)[0].Hz, 1e-9)
		if n == 99 {
			assert.InEpsilon(t, exact, modes(t, s, 1)[0].Hz, 5e-5)
		}
	}
}

func square(t require.TestingT, n int) *mechanics.Net {
	return rect(t, n, n, 12, 12, mechanics.Cord{TensionN: 230, MassGPM: 1}, mechanics.Cord{TensionN: 230, MassGPM: 1})
}

// Worked out by hand from the balance of the nodes: stiffness k·h/T at the centre, and the centre's deflection
// u·T/(F·h) with the same force on every node.
func TestSquareNetStatic(t *testing.T) {
	for _, c := range []struct {
		n    int
		k, u float64
	}{{1, 4, 1. / 4}, {3, 8. / 3, 9. / 8}, {5, 52. / 23, 135. / 52}} {
		n := square(t, c.n)
		mid := n.Nearest(grid.Point{})
		assert.InEpsilon(t, c.k, float64(n.Stiffness(n.Point(mid), mid))*12/230, 1e-12)
		assert.InEpsilon(t, c.k, float64(n.Centre())*12/230, 1e-12)
		all := make([]float64, c.n*c.n)
		for i := range all {
			all[i] = 3
		}
		assert.InEpsilon(t, c.u, n.Deflection(all)[mid]*230/(3*12), 1e-12)
	}
}

// ω² = T/(h·m)·[4 − 2cos(pπ/(n+1)) − 2cos(qπ/(n+1))]; the lowest bracket to twelve digits.
func TestSquareNetModes(t *testing.T) {
	for n, lowest := range map[int]float64{3: 1.171572875254, 7: .304481869955, 19: .049246637619} {
		net := square(t, n)
		scale := 230.0 / 12 / net.Nodes()[0].MassG * 1e6
		m := modes(t, net, 5)
		assert.InDelta(t, lowest, omega2(m[0].Hz)/scale, 1e-11, "n = %d", n)
		bracket := func(p, q float64) float64 {
			return 4 - 2*math.Cos(p*math.Pi/float64(n+1)) - 2*math.Cos(q*math.Pi/float64(n+1))
		}
		for i, want := range []float64{bracket(1, 1), bracket(1, 2), bracket(2, 1), bracket(2, 2), bracket(1, 3)} {
			assert.InEpsilon(t, want, omega2(m[i].Hz)/scale, 1e-9, "n = %d, mode %d", n, i+1)
		}
	}
}

// A square net with equal tension in both sets has exactly the frequency of one of its strings alone.
func TestNetAndOneOfItsStrings(t *testing.T) {
	cord := mechanics.Cord{TensionN: 250, MassGPM: 1.7}
	for _, n := range []int{2, 11, 20} {
		net := rect(t, n, n, 13, 13, cord, cord)
		alone := rect(t, 1, n, 13, 13, cord, mechanics.Cord{})
		assert.InEpsilon(t, modes(t, alone, 1)[0].Hz, modes(t, net, 1)[0].Hz, 1e-10)
	}
}

// limit extrapolates values at steps h, h/2, h/4, h/8, whose error goes as even powers of h.
func limit(v ...float64) float64 {
	for power := 4.0; len(v) > 1; power *= 4 {
		next := make([]float64, len(v)-1)
		for i := range next {
			next[i] = (power*v[i+1] - v[i]) / (power - 1)
		}
		v = next
	}
	return v[0]
}

// A fine net is a membrane of tension S = T/h per width. Rectangle of short side a under even pressure p: centre
// w0·S/(p·a²), worked out to ten digits. Volume p·J/(4S), J = k1·b·a³, by Prandtl's analogy from
// Timoshenko & Goodier, Theory of Elasticity, torsion of rectangular bars: k1 = .1406, .196, .229.
func TestRectangularMembrane(t *testing.T) {
	for _, c := range []struct{ ratio, w0, k1, digits float64 }{
		{1, .07367135328, .1406, 5e-5}, {1.5, .1007713848, .196, 5e-4}, {2, .1138718321, .229, 5e-4},
	} {
		var centre, volume []float64
		for _, m := range []int{8, 16, 32, 64} { // spans across the short side, 1 mm long as a whole
			h := 1 / float64(m)
			n := rect(t, m-1, int(c.ratio*float64(m))-1, h, h, mechanics.Cord{TensionN: h}, mechanics.Cord{TensionN: h})
			w, sum := n.Deflection(n.Pressure(1)), 0.0
			for _, v := range w {
				sum += v * h * h
			}
			centre, volume = append(centre, w[n.Nearest(grid.Point{})]), append(volume, sum)
		}
		assert.InDelta(t, c.w0, limit(centre...), 1e-10, "b/a = %g", c.ratio)
		assert.InDelta(t, c.k1, 4*limit(volume...)/c.ratio, c.digits, "b/a = %g", c.ratio)
	}
}

// Rectangular membrane: f = (c/2)·√(1/lx² + 1/ly²), c = √(S/σ).
func TestRectangularMembraneRings(t *testing.T) {
	const s, σ, lx, ly = 18.0, 2.5e-4, 250.0, 330.0 // N/mm, g/mm², mm
	want := math.Sqrt(s/σ*1e6) / 2 * math.Hypot(1/lx, 1/ly)
	var f []float64
	for _, m := range []int{8, 16, 32} {
		hx, hy := lx/float64(m), ly/float64(m)
		n := rect(t, m-1, m-1, hx, hy, mechanics.Cord{TensionN: s * hx, MassGPM: σ * hx * 500}, mechanics.Cord{TensionN: s * hy, MassGPM: σ * hy * 500})
		f = append(f, modes(t, n, 1)[0].Hz)
	}
	assert.InEpsilon(t, want, limit(f...), 1e-9)
}

// ellipse is a fine net on an ellipse that stands for a membrane of tension s per mm and σ g/mm².
func ellipse(t require.TestingT, a, b float64, n int, s, σ float64) *mechanics.Net {
	p, q := 2*a/float64(n+1), 2*b/float64(n+1)
	var mains, crosses []mechanics.String
	for i := range n {
		x, y := float64(i+1)*p-a, b-float64(i+1)*q
		h, w := b*math.Sqrt(1-x*x/a/a), a*math.Sqrt(1-y*y/b/b)
		mains = append(mains, mechanics.String{Strand: patterns.MainStrand(i+1, patterns.Left), Ends: [2]grid.Point{{X: x, Y: h}, {X: x, Y: -h}},
			Cord: mechanics.Cord{TensionN: s * p, MassGPM: σ * p * 500}})
		crosses = append(crosses, mechanics.String{Strand: patterns.CrossStrand(i + 1), Ends: [2]grid.Point{{X: -w, Y: y}, {X: w, Y: y}},
			Cord: mechanics.Cord{TensionN: s * q, MassGPM: σ * q * 500}})
	}
	net, err := mechanics.Weave(mains, crosses)
	require.NoError(t, err)
	return net
}

// Circular membrane under even pressure: w0 = p·a²/(4S). Textbook. The net comes nearer as it grows finer.
func TestCircularMembrane(t *testing.T) {
	off := func(n int) float64 {
		net := ellipse(t, 1, 1, n, 1, 1)
		return math.Abs(net.Deflection(net.Pressure(1))[net.Nearest(grid.Point{})]*4 - 1)
	}
	assert.Less(t, off(79), 1e-4)
	assert.Less(t, off(79), off(19)/4)
}

// The same under a ball, whose pressure falls as (1 − r²/b²)²: the enclosed load is Q = 1 − (1 − r²/b²)³, the slope Q/(2πSr),
// and the ball sinks in by ∫Q²/(2πSr)dr = (ln(a/b) + 73/120)/(2πS), by hand.
func TestCircularMembraneUnderBall(t *testing.T) {
	net := ellipse(t, 1, 1, 79, 1, 1)
	for _, b := range []float64{.1, .2, .3, .5} {
		load := net.Press(grid.Point{}, b)
		assert.InEpsilon(t, 2*math.Pi/(math.Log(1/b)+73./120), 1/dot(load, net.Deflection(load)), 0.005, "b = %g", b)
	}
	here := grid.Point{X: .513, Y: .0137}
	assert.True(t, slices.Equal(net.Point(net.Nearest(here)), net.Press(here, 1e-5)), "no string passes")
}

// Circular membrane: f = j01·c/(2πR), j01 = 2.404825557695773 (Abramowitz & Stegun Table 9.5). Elliptical membrane,
// lowest mode: f·√A/c = .678388765 for b/a = 1, .680168165 for .9, .691597273 for .75, worked out to nine digits. The
// rim cuts the spans of a net unevenly; its error still goes as 1/(n + 1)², so that two nets give six digits.
func TestEllipticalMembrane(t *testing.T) {
	assert.InDelta(t, .678388765, 2.404825557695773/2/math.Sqrt(math.Pi), 5e-10, "the circle's two forms")
	for ratio, want := range map[float64]float64{1: .678388765, .9: .680168165, .75: .691597273} {
		reading := func(n int) float64 {
			const s, σ, a = 18.0, 2.5e-4, 160.0
			net := ellipse(t, a*ratio, a, n, s, σ)
			return modes(t, net, 1)[0].Hz * math.Sqrt(math.Pi*a*a*ratio) / math.Sqrt(s/σ*1e6)
		}
		coarse, fine := reading(39), reading(79)
		assert.InEpsilon(t, want, fine, 1e-4, "b/a = %g", ratio)
		assert.InEpsilon(t, want, (4*fine-coarse)/3, 1e-6, "b/a = %g", ratio)
	}
}

// Crosses that are all but slack leave every main to itself: their frequencies lie close together, and are found.
func TestModesCloseTogether(t *testing.T) {
	const n = 12
	net := rect(t, n, n, 12, 12, mechanics.Cord{TensionN: 230, MassGPM: 1}, mechanics.Cord{TensionN: 1e-3, MassGPM: 1})
	for p, m := range modes(t, net, 5) {
		of := func(tension float64, k int) float64 { return tension * (2 - 2*math.Cos(float64(k)*math.Pi/(n+1))) }
		want := (of(230, 1) + of(1e-3, p+1)) / 12 / net.Nodes()[0].MassG * 1e6
		assert.InEpsilon(t, want, omega2(m.Hz), 1e-10, "mode %d", p+1)
	}
}

// Mains that only slack crosses join ring alike, as many modes in one frequency as there are mains: none is missed.
func TestModesThatAreOne(t *testing.T) {
	const mains, spans = 7, 10
	net := rect(t, mains, spans-1, 12, 12, mechanics.Cord{TensionN: 230, MassGPM: 1}, mechanics.Cord{MassGPM: 1})
	for i, m := range modes(t, net, 2*mains) {
		k := 1 + i/mains
		want := 230 * (2 - 2*math.Cos(float64(k)*math.Pi/spans)) / 12 / net.Nodes()[0].MassG * 1e6
		assert.InEpsilon(t, want, omega2(m.Hz), 1e-10, "mode %d", i+1)
	}
}

// What holds for every net: a load here moves there what the same load there moves here, all loads push
// all crossings the same way, modes are perpendicular in mass, and each is as stiff as its frequency says.
func TestAnyNet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(1, 9).Draw(t, "nx"), rapid.IntRange(1, 9).Draw(t, "ny")
		draw := rapid.Float64Range(1, 300)
		n := rect(t, nx, ny, rapid.Float64Range(5, 20).Draw(t, "hx"), rapid.Float64Range(5, 20).Draw(t, "hy"),
			mechanics.Cord{TensionN: draw.Draw(t, "mains"), MassGPM: 1.7}, mechanics.Cord{TensionN: draw.Draw(t, "crosses"), MassGPM: 1.2})
		size := nx * ny
		require.Len(t, n.Nodes(), size)
		i, j := rapid.IntRange(0, size-1).Draw(t, "i"), rapid.IntRange(0, size-1).Draw(t, "j")
		at, there := n.Deflection(n.Point(i)), n.Deflection(n.Point(j))
		assert.InEpsilon(t, at[j], there[i], 1e-8)
		for _, w := range at {
			assert.Greater(t, w, 0.0)
			assert.LessOrEqual(t, w, at[i]*(1+1e-12), "none gives more than the loaded one")
		}
		assert.InEpsilon(t, 1/at[i], float64(n.Map()[i]), 1e-10)
		ms := modes(t, n, 6)
		require.Len(t, ms, min(6, size))
		for a, p := range ms {
			inertia := make([]float64, size)
			for k, node := range n.Nodes() {
				inertia[k] = node.MassG * p.Shape[k] * omega2(p.Hz) / 1e6
			}
			for k, w := range n.Deflection(inertia) { // K⁻¹ω²M·shape is the shape
				assert.InDelta(t, p.Shape[k], w, 1e-4)
			}
			for b := range a {
				dot, own := 0.0, 0.0
				for k, node := range n.Nodes() {
					dot += node.MassG * p.Shape[k] * ms[b].Shape[k]
					own += node.MassG * p.Shape[k] * p.Shape[k]
				}
				assert.InDelta(t, 0, dot/own, 1e-6)
				assert.LessOrEqual(t, ms[b].Hz, p.Hz*(1+1e-9))
			}
		}
	})
}

func TestNetsThatAreNone(t *testing.T) {
	good := mechanics.Cord{TensionN: 200, MassGPM: 1}
	for _, c := range []struct {
		main, cross mechanics.Cord
		says        string
	}{
		{mechanics.Cord{TensionN: -1}, good, "M1R"},
		{mechanics.Cord{TensionN: math.NaN()}, good, "no string"},
		{mechanics.Cord{}, mechanics.Cord{}, "slack"},
		{good, mechanics.Cord{TensionN: 1, MassGPM: -1}, "C1"},
	} {
		_, err := mechanics.Rect(2, 2, 10, 10, c.main, c.cross)
		assert.ErrorContains(t, err, c.says)
	}
	_, err := mechanics.Rect(0, 2, 10, 10, good, good)
	assert.ErrorContains(t, err, "no main meets a cross")
	weightless := rect(t, 2, 2, 10, 10, mechanics.Cord{TensionN: 1}, mechanics.Cord{TensionN: 1})
	_, err = weightless.Modes(1)
	assert.ErrorContains(t, err, "mass")
	assert.Panics(t, func() { weightless.Deflection([]float64{1}) })
}
