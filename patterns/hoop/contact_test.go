package hoop_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"pullcard/patterns/hoop"
	_ "pullcard/patterns/sweep" // for what is drawn
)

// A straight beam on two springs, in closed form: what each end carries is by the lever, the middle of a beam of length l under a
// load W in the middle sinks by W·l³/48EI and half of what both springs give, and a third support that stands off by a gap there
// carries nothing until that, and then r = (sag − gap)/(l³/48EI + 1/2k + 1/k₃).
func TestBeamOnTwoSprings(t *testing.T) {
	const l, ei, k, k3, w = 300.0, 1e8, 500.0, 900.0, 400.0
	sinks := l*l*l/48/ei + 1/(2*k)
	for _, gap := range []float64{0, .3, w * sinks, 1} {
		c := hoop.Contact{}
		c.New(mat.NewSymDense(1, []float64{sinks + 1/k3}), nil, make([]bool, 1))
		x, off := make([]float64, 1), make([]float64, 1)
		require.NoError(t, c.Solve([]float64{w*sinks - gap}, x, off))
		assert.InDelta(t, max(w*sinks-gap, 0)/(sinks+1/k3), x[0], 1e-9)
		assert.InDelta(t, max(gap-w*sinks, 0), off[0], 1e-12)
	}
}

// A circle pressed together by two loads between two springs at its sides that stand off by a gap: it widens by
// (2/π − ½)·WR³/EI, each spring then pushes back with r = ((2/π − ½)·W·c − 2·gap)/((π/4 − 2/π)·c + 2/k), c = R³/EI. Timoshenko.
func TestCircleBetweenSprings(t *testing.T) {
	const radius, ei, k, load, n = 130.0, 1e8, 300.0, 500.0, 288
	r := ellipse(n, radius, radius, stiffAxially)
	c := condense(t, r, []hoop.Action{
		{outwards(r, 0, -1), outwards(r, n/2, -1)}, {outwards(r, n/4, -1), outwards(r, 3*n/4, -1)},
	})
	unit := radius * radius * radius / ei
	for _, gap := range []float64{0, .4, 3} {
		q := hoop.Contact{}
		q.New(mat.NewSymDense(1, []float64{c.Flex.At(1, 1) + 2/k}), nil, make([]bool, 1))
		x, w := make([]float64, 1), make([]float64, 1)
		require.NoError(t, q.Solve([]float64{-c.Flex.At(0, 1)*load - 2*gap}, x, w))
		want := max((2/math.Pi-.5)*load*unit-2*gap, 0) / ((math.Pi/4-2/math.Pi)*unit + 2/k)
		assert.InDelta(t, want, x[0], 2e-3*load)
		assert.Equal(t, gap == 3, x[0] == 0)
	}
}

// Of all answers by trying every set of x at work, the one that keeps the signs is the one found, wherever it begins.
func TestContactIsTheOnlyAnswer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		root := mat.NewDense(n, n, rapid.SliceOfN(rapid.Float64Range(-1, 1), n*n, n*n).Draw(t, "root"))
		var square mat.Dense
		square.Mul(root, root.T())
		m := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				m.SetSym(i, j, square.At(i, j))
			}
			m.SetSym(i, i, m.At(i, i)+.05)
		}
		b := rapid.SliceOfN(rapid.Float64Range(-1, 1), n, n).Draw(t, "b")
		c := hoop.Contact{}
		c.New(m, nil, rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "from"))
		x, w := make([]float64, n), make([]float64, n)
		require.NoError(t, c.Solve(b, x, w))
		for i := range n {
			v := -b[i]
			for j := range n {
				v += m.At(i, j) * x[j]
			}
			require.InDelta(t, v, w[i], 1e-8)
			require.GreaterOrEqual(t, x[i], -1e-8)
			require.GreaterOrEqual(t, w[i], -1e-8)
			require.InDelta(t, 0, x[i]*w[i], 1e-8)
		}
	})
}

func TestContactWithoutAnswer(t *testing.T) {
	c := hoop.Contact{}
	c.New(mat.NewSymDense(1, []float64{-1}), nil, []bool{true})
	assert.Error(t, c.Solve([]float64{1}, make([]float64, 1), make([]float64, 1)))
}
