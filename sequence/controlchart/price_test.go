package controlchart

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// normal makes points of a process with a standard deviation of one.
func normal(rng *rand.Rand, n int, mean float64, from time.Time) []Point {
	out := make([]Point, n)
	for i := range out {
		out[i] = Point{Value: mean + rng.NormFloat64(), At: from.Add(time.Duration(i+1) * time.Hour)}
	}
	return out
}

// The price of all alarms together, through the chart itself: charts of 100 stringings in control alarm on at most 10 %,
// whether the limits are known or come from a baseline, its test of the trend included; and a shift of 1.5 sigma is seen within
// 10 stringings as often as the chart says: at least 90 % with known limits, 60 % from a baseline of 20. A sweep makes 40,000
// charts of each, where a standard error is 0.0015 of the price and 0.0024 of the power; otherwise it is 1,000.
func TestPrice(t *testing.T) {
	for _, n := range []int{0, 20, 22, 27, 35, 50, 90, 180, 500} {
		const charts, part = 40000, 40
		made, alarmed, seen := 0, 0, 0
		for i := range charts {
			if !sweep.Take(i, part) {
				continue
			}
			made++
			rng := rand.New(rand.NewPCG(uint64(n), uint64(i)))
			b := Baseline{Sigma: 1, Until: began()}
			if n > 0 {
				var err error
				b, err = Judge("", normal(rng, n, 0, began()))
				require.NoError(t, err)
			}
			good, err := New(normal(rng, PricedOver, 0, b.Until), &b)
			require.NoError(t, err)
			shifted, err := New(normal(rng, Within, Shift, b.Until), &b)
			require.NoError(t, err)
			if len(good.Flagged()) > 0 {
				alarmed++
			}
			if len(shifted.Flagged()) > 0 {
				seen++
			}
		}
		price, power := float64(alarmed)/float64(made), float64(seen)/float64(made)
		t.Logf("baseline %d: %d charts, price %.4f, power %.4f, said %.4f", n, made, price, power, at(n).power)
		room := 0.0
		if made < charts {
			room = 3 * math.Sqrt(.1*.9/float64(made))
		}
		assert.LessOrEqual(t, price, .10+room, "baseline %d", n)
		assert.InDelta(t, at(n).power, power, 4*math.Sqrt(power*(1-power)/float64(made)), "baseline %d", n)
		if n == 0 {
			assert.GreaterOrEqual(t, power, .90)
		}
		assert.GreaterOrEqual(t, power, .60)
	}
}

// Average run lengths of the EWMA with limits that do not grow, two-sided, from the start.
// Source: Lucas and Saccucci, Technometrics 32 (1990), table 3, as quoted in the examples of the R package spc.
func TestPublishedRunLengths(t *testing.T) {
	for _, c := range []struct {
		lambda, width float64
		arl           map[float64]float64
	}{
		{.5, 3.071, map[float64]float64{0: 500, .5: 88.8, 1: 17.5, 1.5: 6.53, 2: 3.63, 3: 1.93}},
		{.03, 2.437, map[float64]float64{0: 500, .5: 29.3, 1: 12.6, 1.5: 8.07, 2: 5.99, 3: 4.03}},
	} {
		limit := c.width * ewmaSigma(c.lambda, 1e6)
		for shift, want := range c.arl {
			made, sum, squares := 0, 0.0, 0.0
			for i := range 10000 {
				if !sweep.Take(i, 10) {
					continue
				}
				rng := rand.New(rand.NewPCG(uint64(1000*shift), uint64(i)))
				z, n := 0.0, 0.0
				for math.Abs(z) <= limit {
					z, n = ewma(c.lambda, z, shift+rng.NormFloat64()), n+1
				}
				made, sum, squares = made+1, sum+n, squares+n*n
			}
			arl := sum / float64(made)
			se := math.Sqrt((squares/float64(made) - arl*arl) / float64(made))
			t.Logf("lambda %g, shift %g: %.2f ± %.2f, published %g", c.lambda, shift, arl, se, want)
			assert.InDelta(t, want, arl, 4*se+.005*want, "lambda %g, shift %g", c.lambda, shift)
		}
	}
}
