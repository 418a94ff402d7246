package controlchart_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/controlchart"
)

func TestWelchFromSummaries(t *testing.T) {
	// Source: 40 CFR 1065.602(f).
	c, err := controlchart.Compare(controlchart.Sample{N: 11, Mean: 1205.3, SD: 9.399}, controlchart.Sample{N: 7, Mean: 1123.8, SD: 10.583}, .95)
	require.NoError(t, err)
	assert.InDelta(t, 16.63, c.T, .005)
	assert.InDelta(t, 11.76, c.DF, .005)

	// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, AUTO83B, without equal variances. The chance is
	// that of the Boost.Math example of the two-sample t test on the same figures.
	c, err = controlchart.Compare(controlchart.Sample{N: 249, Mean: 20.14458, SD: 6.414700}, controlchart.Sample{N: 79, Mean: 30.48101, SD: 6.107710}, .95)
	require.NoError(t, err)
	assert.InDelta(t, -12.94627, c.T, 5e-6)
	assert.InDelta(t, 136.8750, c.DF, 5e-5)
	assert.InEpsilon(t, 1.571e-25, c.P, 5e-4)
}

// sleep are the hours of Student's sleep data, Biometrika 6 (1908), for two drugs on the same ten people.
func sleep() (a, b []float64) {
	return []float64{.7, -1.6, -.2, -1.2, -.1, 3.4, 3.7, .8, 0, 2}, []float64{1.9, .8, 1.1, .1, -.1, 4.4, 5.5, 1.6, 4.6, 3.4}
}

// Source: R, stats::t.test, the examples on these data.
func TestWelchFromValues(t *testing.T) {
	x, y := sleep()
	c, err := controlchart.Compare(summed(t, x), summed(t, y), .95)
	require.NoError(t, err)
	assert.InDelta(t, -1.58, c.Difference, 1e-12)
	assert.InDelta(t, -1.8608, c.T, 5e-5)
	assert.InDelta(t, 17.776, c.DF, 5e-4)
	assert.InDelta(t, .07939, c.P, 5e-6)
	assert.InDelta(t, -3.3654832, c.Low, 5e-8)
	assert.InDelta(t, .2054832, c.High, 5e-8)
	assert.False(t, c.Apart())
}

// Source: R, stats::t.test with paired = TRUE on the same data; these figures are from memory.
func TestPaired(t *testing.T) {
	x, y := sleep()
	c, err := controlchart.Paired(x, y, .95)
	require.NoError(t, err)
	assert.InDelta(t, -4.0621, c.T, 5e-5)
	assert.Equal(t, 9.0, c.DF)
	assert.InDelta(t, .002833, c.P, 5e-7)
	assert.InDelta(t, -2.4598858, c.Low, 5e-8)
	assert.InDelta(t, -.7001142, c.High, 5e-8)
	assert.True(t, c.Apart())
	assert.Equal(t, summed(t, x), c.A)
	assert.Equal(t, summed(t, y), c.B)
}

func summed(t require.TestingT, values []float64) controlchart.Sample {
	s, err := controlchart.Summarise(values)
	require.NoError(t, err)
	return s
}

func TestCompareRefuses(t *testing.T) {
	good, one, flat := controlchart.Sample{N: 5, Mean: 1, SD: .1}, controlchart.Sample{N: 1, Mean: 1}, controlchart.Sample{N: 5, Mean: 2}
	_, err := controlchart.Compare(good, one, .95)
	assert.Equal(t, controlchart.TooFew{Has: 1, Needs: 2}, err)
	_, err = controlchart.Compare(flat, flat, .95)
	assert.Equal(t, controlchart.NoSpread{}, err)
	c, err := controlchart.Compare(good, flat, .95)
	require.NoError(t, err)
	assert.InDelta(t, 4, c.DF, 1e-12) // all the spread is in one sample
	_, err = controlchart.Compare(good, controlchart.Sample{N: 5, Mean: 1, SD: -.1}, .95)
	assert.ErrorContains(t, err, "below nought")
	for _, level := range []float64{0, 1, -1, 95, math.NaN()} {
		_, err = controlchart.Compare(good, good, level)
		assert.ErrorContains(t, err, "confidence", "%g", level)
	}
	for _, odd := range []float64{math.NaN(), math.Inf(1)} {
		_, err = controlchart.Compare(good, controlchart.Sample{N: 5, Mean: odd, SD: 1}, .95)
		assert.Error(t, err)
		_, err = controlchart.Compare(good, controlchart.Sample{N: 5, Mean: 1, SD: odd}, .95)
		assert.Error(t, err)
		_, err = controlchart.Paired([]float64{1, odd}, []float64{1, 2}, .95)
		assert.Error(t, err)
	}
	_, err = controlchart.Paired([]float64{1, 2}, []float64{1}, .95)
	assert.EqualError(t, err, "2 readings cannot be paired with 1")
	_, err = controlchart.Paired([]float64{1}, []float64{1}, .95)
	assert.Equal(t, controlchart.TooFew{Has: 1, Needs: 2}, err)
	_, err = controlchart.Paired([]float64{1, 2}, []float64{2, 3}, .95)
	assert.Equal(t, controlchart.NoSpread{}, err)
}

// Swapping the samples turns all signs and nothing else.
func TestSwap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sample := func(name string) controlchart.Sample {
			return controlchart.Sample{
				N: rapid.IntRange(2, 200).Draw(t, name+" n"), Mean: rapid.Float64Range(-100, 100).Draw(t, name+" mean"),
				SD: rapid.Float64Range(.001, 100).Draw(t, name+" sd"),
			}
		}
		a, b := sample("a"), sample("b")
		level := rapid.Float64Range(.01, .999).Draw(t, "level")
		ab, err := controlchart.Compare(a, b, level)
		require.NoError(t, err)
		ba, err := controlchart.Compare(b, a, level)
		require.NoError(t, err)
		turned := controlchart.Comparison{
			A: b, B: a, Difference: -ab.Difference, SE: ab.SE, DF: ba.DF, T: -ab.T, P: ba.P, Level: level, Low: ba.Low, High: ba.High,
		}
		assert.Equal(t, turned, ba)
		assert.InEpsilon(t, ab.DF, ba.DF, 1e-12)
		assert.InDelta(t, ab.P, ba.P, 1e-10)
		assert.InDelta(t, -ab.High, ba.Low, 1e-9*ab.SE+1e-12*math.Abs(ab.High))
		assert.InDelta(t, -ab.Low, ba.High, 1e-9*ab.SE+1e-12*math.Abs(ab.Low))
		// The interval leaves nought out exactly when the chance is below what the level leaves.
		if left := 1 - level; math.Abs(ab.P-left) > 1e-9 {
			assert.Equal(t, ab.P < left, ab.Apart())
		}
	})
}

// A ratio of frequencies is squared, a ratio of stiffnesses is not; a difference of ratios times the ordered tension is kg.
func TestTensions(t *testing.T) {
	r, err := controlchart.TensionRatio(controlchart.Frequency, .9)
	require.NoError(t, err)
	assert.InDelta(t, .81, r, 1e-15)
	all, err := controlchart.Tensions(controlchart.Stiffness, []float64{.9, .8})
	require.NoError(t, err)
	assert.Equal(t, []float64{.9, .8}, all)
	for _, odd := range []float64{0, -1, math.NaN()} {
		_, err = controlchart.Tensions(controlchart.Frequency, []float64{1, odd})
		assert.Error(t, err)
	}
	_, err = controlchart.TensionRatio("temperature", 1)
	assert.ErrorContains(t, err, "temperature")

	// Invented: beds of one machine keep 0.75 of the tension, those of the other 0.74.
	c, err := controlchart.Compare(controlchart.Sample{N: 12, Mean: .75, SD: .008}, controlchart.Sample{N: 9, Mean: .74, SD: .006}, .95)
	require.NoError(t, err)
	kg := c.At(24)
	assert.InDelta(t, .24, kg.Difference, 1e-12)
	assert.InDelta(t, 18, kg.A.Mean, 1e-12)
	assert.InDelta(t, .006*24, kg.B.SD, 1e-12)
	assert.InDelta(t, c.Low*24, kg.Low, 1e-12)
	assert.InDelta(t, kg.T, kg.Difference/kg.SE, 1e-9)
	assert.Equal(t, []float64{c.T, c.P, c.DF, 24}, []float64{kg.T, kg.P, kg.DF, kg.OrderedKg})
	assert.Zero(t, c.OrderedKg)
}
