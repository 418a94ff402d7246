package controlchart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// mostReadings is where counting ends: no shop reads so often.
const mostReadings = 1_000_000

// Needed is how many readings on each of two machines it takes to see a difference, where sd is the spread of the readings
// on one machine in the same unit: with so many, a two-sided t test at alpha (0.05) sees it with a chance of power (0.8 or
// 0.9). It takes both spreads for equal; the power is that of the noncentral t distribution. It fails with a difference or
// sd that is not above nought, an alpha or power outside 0 to 1, and where it would take more than a million.
func Needed(difference, sd, alpha, power float64) (int, error) {
	if !(difference > 0 && sd > 0) {
		return 0, fmt.Errorf("a difference of %g and a spread of %g have to be above nought", difference, sd)
	}
	if !(alpha > 0 && alpha < 1 && power > 0 && power < 1) {
		return 0, fmt.Errorf("a chance of %g for a false alarm and of %g to see a difference have to lie between 0 and 1", alpha, power)
	}
	return trial{effect: difference / sd, samples: 2, tail: alpha / 2}.needed(power)
}

// trial is a t test that is planned: the difference in standard deviations, one sample or two, and the chance of a false
// alarm on the side on which the difference lies.
type trial struct{ effect, samples, tail float64 }

// needed is the smallest count with at least some power.
func (t trial) needed(power float64) (int, error) {
	first := t.first(power)
	if first <= mostReadings {
		// The normal distribution knows the spread and needs fewer readings than the t test, which has to guess it.
		for n := max(2, int(first)); n <= mostReadings; n++ {
			if t.power(n) >= power {
				return n, nil
			}
		}
	}
	return 0, fmt.Errorf("it would take more than %d readings", mostReadings)
}

// first is the count that the normal distribution gives, not rounded.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.2.2, for one sample; two samples take twice as many each.
func (t trial) first(power float64) float64 {
	z := distuv.UnitNormal.Quantile(1-t.tail) + distuv.UnitNormal.Quantile(power)
	return t.samples * z * z / (t.effect * t.effect)
}

// power is the chance that n readings a sample show the difference.
func (t trial) power(n int) float64 {
	df := t.samples * float64(n-1)
	critical := distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(1 - t.tail)
	return 1 - distuv.NoncentralT{Nu: df, Mu: t.effect * math.Sqrt(float64(n)/t.samples)}.CDF(critical)
}
