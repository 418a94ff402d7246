package mechanics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/grid"
	"pullcard/patterns/mechanics"
)

// Two strings that cross once: F = 4·T·w/√(l² + w²) with T = T0 + (EA + T0)·(√(l² + w²)/l − 1), from the balance at the
// crossing by hand.
func TestCurveOfOneCrossing(t *testing.T) {
	const l, t0, ea = 150.0, 230.0, 9000.0
	n := rect(t, 1, 1, l, l, mechanics.Cord{TensionN: t0, EAN: ea}, mechanics.Cord{TensionN: t0, EAN: ea})
	var forces, want []float64
	for _, w := range []float64{.01, 1, 5, 20, 40} {
		long := math.Hypot(l, w)
		forces, want = append(forces, 4*(t0+(ea+t0)*(long/l-1))*w/long), append(want, w)
	}
	for _, friction := range []mechanics.Friction{mechanics.Free, mechanics.Locked} { // four spans that are alike: friction has nothing to do
		curve, err := n.Curve(n.Point(0), friction, forces)
		require.NoError(t, err)
		for i, b := range curve {
			assert.InEpsilon(t, want[i], b.DeflectionMM, 1e-8)
			assert.InEpsilon(t, t0+(ea+t0)*(math.Hypot(l, want[i])/l-1), b.HighestN, 1e-8)
			assert.InEpsilon(t, forces[i]/want[i], float64(b.Secant), 1e-8)
		}
		assert.InEpsilon(t, float64(n.Centre()), float64(curve[0].Secant), 1e-6, "a small load is the small deflection")
	}
}

// A string of many crossings with slack, massless crosses bends as one string: straight from the hoop to the load.
func TestCurveOfOneString(t *testing.T) {
	const half, t0, ea = 160.0, 240.0, 8000.0
	n := rect(t, 1, 15, 10, half/8, mechanics.Cord{TensionN: t0, EAN: ea}, mechanics.Cord{})
	mid := n.Nearest(grid.Point{})
	w := 25.0
	long := math.Hypot(half, w)
	curve, err := n.Curve(n.Point(mid), mechanics.Free, []float64{2 * (t0 + (ea+t0)*(long/half-1)) * w / long})
	require.NoError(t, err)
	assert.InEpsilon(t, w, curve[0].DeflectionMM, 1e-8)
}

func TestCurveStiffens(t *testing.T) {
	s := sixteen()
	n := net(t, s)
	load := n.Press(grid.Point{}, 30)
	small := 1 / dot(load, n.Deflection(load))
	for _, friction := range []mechanics.Friction{mechanics.Free, mechanics.Locked} {
		curve, err := n.Curve(load, friction, []float64{1e-3, 100, 300, 1000})
		require.NoError(t, err)
		assert.InEpsilon(t, small, float64(curve[0].Secant), 1e-8, "the small-load limit is the small deflection's net")
		for i := 1; i < len(curve); i++ {
			assert.Greater(t, curve[i].Secant, curve[i-1].Secant)
			assert.Greater(t, curve[i].HighestN, curve[i-1].HighestN)
		}
		s := sixteen()
		s.Mains.Material, s.Crosses.Material = mechanics.Aramid, mechanics.Aramid
		stiff := net(t, s)
		other, err := stiff.Curve(load, friction, []float64{1000})
		require.NoError(t, err)
		assert.Greater(t, other[0].Secant, curve[3].Secant, "a string that stretches less makes a stiffer bed")
	}
}

func dot(a, b []float64) (sum float64) {
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// There is one balance: more load bends more, and the order in which loads are asked for does not matter.
func TestCurveIsOneBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.Float64Range(50, 300)
		ea := rapid.Float64Range(0, 30000)
		n := rect(t, rapid.IntRange(1, 6).Draw(t, "nx"), rapid.IntRange(1, 6).Draw(t, "ny"), 20, 25,
			mechanics.Cord{TensionN: draw.Draw(t, "mains"), EAN: ea.Draw(t, "EA")}, mechanics.Cord{TensionN: draw.Draw(t, "crosses"), EAN: ea.Draw(t, "EA'")})
		mid := n.Nearest(grid.Point{})
		f := rapid.Float64Range(1, 1500).Draw(t, "force")
		up, err := n.Curve(n.Point(mid), mechanics.Free, []float64{f / 3, f})
		require.NoError(t, err)
		down, err := n.Curve(n.Point(mid), mechanics.Free, []float64{2 * f, f})
		require.NoError(t, err)
		assert.InEpsilon(t, up[1].DeflectionMM, down[1].DeflectionMM, 1e-7)
		assert.Less(t, up[0].DeflectionMM, up[1].DeflectionMM)
		assert.Less(t, down[1].DeflectionMM, down[0].DeflectionMM)
	})
}

func TestCurveOfNoLoad(t *testing.T) {
	n := square(t, 3)
	_, err := n.Curve(n.Point(0), mechanics.Free, []float64{0})
	assert.ErrorContains(t, err, "above nought")
}
