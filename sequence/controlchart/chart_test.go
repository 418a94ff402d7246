package controlchart_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/controlchart"
)

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
func TestHandbookChart(t *testing.T) {
	c := chart(t, 0, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
	assert.InDelta(t, 50.81, c.Centre, 5e-5)
	assert.InDelta(t, 1.8778, c.MeanRange, 5e-5)
	assert.InDelta(t, 55.8041, c.Upper, 5e-5)
	assert.InDelta(t, 45.8159, c.Lower, 5e-5)
	assert.InDelta(t, 3.267*1.8778, c.RangeUpper, 5e-4) // D4 of the table in 6.3.2.1
	assert.Equal(t, 10, c.From)
	assert.False(t, c.Trusted())
	assert.Empty(t, c.Flagged()) // the page says that the process is in control
}

func TestBaseline(t *testing.T) {
	values := []float64{1, 2, 1, 2, 9, 9}
	c := chart(t, 4, values...)
	assert.Equal(t, chart(t, 0, values[:4]...).Limits, c.Limits)
	assert.Len(t, c.Ranges, 5)
	assert.Equal(t, []int{4, 5}, c.Flagged())
	assert.True(t, c.Jumped(4))
	assert.False(t, c.Jumped(5))
	assert.False(t, c.Jumped(0))
	// All six move the centre to 4 and sigma to 1.77: the low ones now make a crowd of four, the high ones one of two.
	assert.Equal(t, []int{3, 5}, chart(t, 0, values...).Flagged())
	assert.True(t, chart(t, 0, make([]float64, controlchart.Enough)...).Trusted())
	assert.False(t, chart(t, controlchart.Enough-1, make([]float64, controlchart.Enough)...).Trusted())
}

func TestNewRefuses(t *testing.T) {
	for _, c := range []struct {
		values   []float64
		baseline int
		want     error
	}{
		{nil, 0, controlchart.TooFew{Has: 0, Needs: 2}},
		{[]float64{1}, 0, controlchart.TooFew{Has: 1, Needs: 2}},
		{[]float64{1, 2, 3}, 1, controlchart.TooFew{Has: 1, Needs: 2}},
		{[]float64{1, 2, 3}, -2, controlchart.TooFew{Has: -2, Needs: 2}},
		{[]float64{1, 2, 3}, 4, controlchart.TooFew{Has: 3, Needs: 4}},
	} {
		_, err := controlchart.New(series(c.values...), c.baseline)
		assert.Equal(t, c.want, err)
	}
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := controlchart.New(series(1, odd), 0)
		assert.EqualError(t, err, "the reading of job 102 is no number")
	}
}

// Points and limits move together.
func TestShiftAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := someValues(t)
		shift := rapid.Float64Range(-1000, 1000).Draw(t, "shift")
		factor := rapid.Float64Range(.001, 1000).Draw(t, "factor")
		shifted, scaled := make([]float64, len(values)), make([]float64, len(values))
		for i, v := range values {
			shifted[i], scaled[i] = v+shift, v*factor
		}
		plain, err := controlchart.New(series(values...), 0)
		require.NoError(t, err)
		s, err := controlchart.New(series(shifted...), 0)
		require.NoError(t, err)
		f, err := controlchart.New(series(scaled...), 0)
		require.NoError(t, err)
		lines := func(l controlchart.Limits) []float64 { return []float64{l.Lower, l.Centre, l.Upper} }
		widths := func(l controlchart.Limits) []float64 { return []float64{l.Sigma, l.MeanRange, l.RangeUpper} }
		for i, v := range lines(plain.Limits) {
			assert.InDelta(t, v+shift, lines(s.Limits)[i], 1e-8)
			assert.InDelta(t, v*factor, lines(f.Limits)[i], 1e-8*factor)
		}
		for i, v := range widths(plain.Limits) {
			assert.InDelta(t, v, widths(s.Limits)[i], 1e-8)
			assert.InDelta(t, v*factor, widths(f.Limits)[i], 1e-8*factor)
		}
	})
}

// What a rule finds hangs neither on the unit nor on which way is up. Doubling and turning over are exact in floating point.
func TestRulesKeepUnderScaleAndMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := someValues(t)
		other := make([]float64, len(values))
		for i, v := range values {
			other[i] = -2 * v
		}
		a, err := controlchart.New(series(values...), 0)
		require.NoError(t, err)
		b, err := controlchart.New(series(other...), 0)
		require.NoError(t, err)
		assert.Equal(t, a.Broken, b.Broken)
	})
}

func TestConstantPointsFlagNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		values := make([]float64, rapid.IntRange(2, 50).Draw(t, "n"))
		for i := range values {
			values[i] = v
		}
		c, err := controlchart.New(series(values...), 0)
		require.NoError(t, err)
		assert.Empty(t, c.Flagged())
		assert.Equal(t, controlchart.Limits{Centre: v, Lower: v, Upper: v, From: len(values)}, c.Limits)
		for i := range values {
			assert.False(t, c.Jumped(i))
		}
	})
}

func TestChanged(t *testing.T) {
	points := shop()
	c, err := controlchart.New(points, 16)
	require.NoError(t, err)
	assert.Contains(t, c.Broken[9], controlchart.Beyond)
	assert.Equal(t, []controlchart.Change{
		{Point: 9, What: "slips", Is: "2 slips"},
		{Point: 9, What: "bare", Is: "26 min"},
	}, c.Changed(9))
	// The run that ends at point 23 began with the other machine.
	assert.Contains(t, c.Broken[23], controlchart.EightOnSide)
	moved := controlchart.Change{Point: 16, What: "machine", Was: "bench one", Is: "bench two"}
	assert.Equal(t, []controlchart.Change{moved}, c.Changed(23))
	assert.Equal(t, "machine was bench one, is bench two", moved.String())
	assert.Empty(t, c.Changed(0))

	// What is not told is no change, and the name told last counts.
	points = series(1, 2, 1, 2)
	points[0].Stringer, points[2].Stringer, points[3].Stringer = "Sam", "Sam", "Ada"
	points[1].String = "first string told"
	points[2].Slips, points[3].Bare = 1, controlchart.BareLimit+time.Minute
	points[1].Bare = controlchart.BareLimit
	c, err = controlchart.New(points, 0)
	require.NoError(t, err)
	assert.Empty(t, c.Changed(1))
	require.Len(t, c.Changed(2), 1)
	assert.Equal(t, "1 slip", c.Changed(2)[0].String())
	require.Len(t, c.Changed(3), 2)
	assert.Equal(t, "stringer was Sam, is Ada", c.Changed(3)[0].String())
	assert.Equal(t, "mains stood without crosses for 21 min", c.Changed(3)[1].String())
}

func BenchmarkChart(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	points := make([]controlchart.Point, 7000)
	for i := range points {
		points[i] = controlchart.Point{Job: int64(i), Value: .87 + .01*random.NormFloat64()}
	}
	for b.Loop() {
		if _, err := controlchart.New(points, 0); err != nil {
			b.Fatal(err)
		}
	}
}
