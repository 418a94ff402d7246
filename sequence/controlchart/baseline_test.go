package controlchart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, individuals and moving ranges.
func TestHandbookIndividuals(t *testing.T) {
	values := []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	mean, sigma := stat.Mean(values, nil), movingSigma(values)
	assert.InDelta(t, 50.81, mean, 5e-5)
	assert.InDelta(t, 1.8778, sigma*d2, 5e-5)
	assert.InDelta(t, 55.8041, mean+3*sigma, 5e-5)
	assert.InDelta(t, 45.8159, mean-3*sigma, 5e-5)
}

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: a process with mean 50 and s = 2.0539, lambda 0.3; the
// series is from memory, the limits are its page's.
func TestHandbookEWMA(t *testing.T) {
	want := []float64{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99}
	z := 50.0
	for i, v := range []float64{52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1} {
		z = ewma(.3, z, v)
		assert.InDelta(t, want[i], z, .00501, "value %d", i+1)
	}
	half := 3 * 2.0539 * ewmaSigma(.3, 1000)
	assert.InDelta(t, 52.5884, 50+half, 2e-4) // the page rounds the root to 0.4201
	assert.InDelta(t, 47.4115, 50-half, 2e-4)
}

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.1, the table of c4; from memory.
func TestC4(t *testing.T) {
	for n, want := range map[int]float64{2: .7979, 5: .9400, 10: .9727, 20: .9869, 25: .9896} {
		assert.InDelta(t, want, c4(n), 5e-5)
	}
}

func TestJudge(t *testing.T) {
	b, err := Judge("spring", series(calm()...))
	require.NoError(t, err)
	mean, sd := stat.MeanStdDev(calm(), nil)
	assert.InDelta(t, mean, b.Centre, 1e-15)
	assert.InDelta(t, sd/.98693, b.Sigma, 1e-7, "the standard deviation, unbiased")
	assert.False(t, b.Trend())
	assert.Equal(t, series(calm()...)[19].At, b.Until)

	// A drift makes the standard deviation too wide; the moving range hardly sees it. No value is left out.
	drifting := calm()
	for i := range drifting {
		drifting[i] += .002 * float64(i)
	}
	d, err := Judge("", series(drifting...))
	require.NoError(t, err)
	assert.True(t, d.Trend())
	assert.Equal(t, 20, d.N)
	assert.InDelta(t, movingSigma(drifting), d.Sigma, 1e-15)
	assert.Less(t, d.Sigma, stat.StdDev(drifting, nil))
	assert.Contains(t, d.Words()[0], "it drifts (p < 0.001): find out why")

	_, err = Judge("", series(calm()[:19]...))
	assert.Equal(t, TooFew{19, 20}, err)
	assert.EqualError(t, err, "19 stringings are too few; it takes 20")
	odd := calm()
	odd[3] = math.NaN()
	_, err = Judge("", series(odd...))
	assert.EqualError(t, err, "the reading of job 104 is no number")
}

// The limits of the EWMA grow to their last width, and both kinds narrow as the baseline grows; the power grows with it.
func TestLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Baseline{N: rapid.IntRange(20, 5000).Draw(t, "n"), Centre: 1, Sigma: .01}
		_, upper := b.Limits()
		assert.InDelta(t, perWidth*at(b.N).width, (upper-1)/.01, 1e-9)
		more, last := b, 0.0
		more.N++
		for i := 1; i < 60; i++ {
			low, high := b.EWMALimits(i)
			assert.Greater(t, high, last)
			assert.InDelta(t, 2, low+high, 1e-12)
			last = high
			_, narrower := more.EWMALimits(i)
			assert.Less(t, narrower, high)
		}
		assert.InDelta(t, at(b.N).width/3, (last-1)/.01, 1e-6, "λ/(2 − λ) is a ninth")
		assert.Greater(t, more.Power(), b.Power())
		assert.GreaterOrEqual(t, b.Power(), .6)
	})
	assert.Equal(t, price{0, 3.2, .94}, at(0))
	_, narrow := Baseline{Centre: 0, Sigma: 1}.EWMALimits(1)
	assert.InDelta(t, .2*3.2, narrow, 1e-12, "one value weighs lambda")
}
