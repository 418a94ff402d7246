package controlchart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.2.2: one sample, one side, a difference of one sigma, alpha
// 0.05, beta 0.10: 8.567 by the normal distribution, 10.6 by Student's t with the degrees of freedom of 9 readings, so 11.
func TestHandbookCount(t *testing.T) {
	one := trial{effect: 1, samples: 1, tail: .05}
	// The handbook adds 1.645 and 1.282, rounded.
	assert.InDelta(t, 8.567, one.first(.9), .005)
	student := distuv.StudentsT{Sigma: 1, Nu: 8}
	assert.InDelta(t, 10.6, math.Pow(student.Quantile(.95)+student.Quantile(.9), 2), .05)
	n, err := one.needed(.9)
	require.NoError(t, err)
	assert.Equal(t, 11, n)
}

// Source: R, stats::power.t.test, the examples: n = 20 and delta = 1 has power 0.8689528, power 0.90 takes 22.02110.
func TestPower(t *testing.T) {
	two := trial{effect: 1, samples: 2, tail: .025}
	assert.InDelta(t, .8689528, two.power(20), 5e-8)
	assert.InDelta(t, .8689528, Interval{SE: math.Sqrt(2. / 20), DF: 38, Level: .95}.Power(1), 5e-8)
	n, err := Needed(1, 1, .05, .9)
	require.NoError(t, err)
	assert.Equal(t, 23, n)
}

// The smallest count is the smallest, whatever the unit; more power needs more.
func TestNeededIsSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		effect := rapid.Float64Range(.05, 60).Draw(t, "effect")
		sd := rapid.Float64Range(.01, 10).Draw(t, "sd")
		alpha := rapid.Float64Range(.001, .2).Draw(t, "alpha")
		power := rapid.Float64Range(.5, .99).Draw(t, "power")
		n, err := Needed(effect*sd, sd, alpha, power)
		require.NoError(t, err)
		more, err := Needed(effect*sd, sd, alpha, power+.005)
		require.NoError(t, err)
		two := trial{effect: effect * sd / sd, samples: 2, tail: alpha / 2}
		assert.GreaterOrEqual(t, two.power(n), power)
		if n > 2 {
			assert.Less(t, two.power(n-1), power)
		}
		assert.GreaterOrEqual(t, more, n)
	})
}

func TestNeededRefuses(t *testing.T) {
	for _, c := range [][4]float64{
		{0, 1, .05, .8}, {-.2, 1, .05, .8}, {.2, 0, .05, .8}, {.2, math.NaN(), .05, .8}, {.2, 1, 0, .8}, {.2, 1, 1, .8},
		{.2, 1, .05, 0}, {.2, 1, .05, 1}, {1e-9, 1, .05, .8}, {.2, 1, math.NaN(), .8},
	} {
		_, err := Needed(c[0], c[1], c[2], c[3])
		assert.Error(t, err, "%v", c)
	}
}
