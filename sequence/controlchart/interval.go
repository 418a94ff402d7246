package controlchart

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is an estimate with its standard error, the degrees of freedom of that (infinite where it is known) and the
// confidence of its bounds, as 0.95.
type Interval struct{ Value, SE, DF, Level float64 }

// Low and High bound the value with confidence Level.
func (i Interval) Low() float64  { return i.Value - i.half() }
func (i Interval) High() float64 { return i.Value + i.half() }

func (i Interval) half() float64 { return quantile(i.DF, (1+i.Level)/2) * i.SE }

// Apart says whether the bounds leave nought out.
func (i Interval) Apart() bool { return i.Low() > 0 || i.High() < 0 }

// P is the chance of a value as far from nought, either way, if it were nought.
func (i Interval) P() float64 {
	t := -math.Abs(i.Value / i.SE) // the lower tail keeps its digits where one less the upper would have none left
	if math.IsInf(i.DF, 1) {
		return 2 * distuv.UnitNormal.CDF(t)
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: i.DF}.CDF(t)
}

// Power is the chance that a test at one less Level sees a value of size, with this standard error and these degrees of
// freedom: the noncentral t distribution.
func (i Interval) Power(size float64) float64 {
	critical := quantile(i.DF, (1+i.Level)/2)
	if math.IsInf(i.DF, 1) || i.DF > 1e5 {
		return distuv.UnitNormal.CDF(size/i.SE - critical)
	}
	return 1 - distuv.NoncentralT{Nu: i.DF, Mu: size / i.SE}.CDF(critical)
}

// less is an independent estimate taken from another, its degrees of freedom after Satterthwaite.
func (i Interval) less(j Interval) Interval {
	return combine(i.Level, part{i, 1}, part{j, -1})
}

// part is an independent estimate and how often it counts.
type part struct {
	Interval
	times float64
}

// combine is a sum of independent estimates.
// Source for the degrees of freedom: Satterthwaite, Biometrics Bulletin 2 (1946).
func combine(level float64, parts ...part) Interval {
	out := Interval{Level: level, DF: math.Inf(1)}
	variance, doubt := 0.0, 0.0
	for _, p := range parts {
		v := p.times * p.times * p.SE * p.SE
		out.Value += p.times * p.Value
		variance += v
		doubt += v * v / p.DF
	}
	out.SE = math.Sqrt(variance)
	if doubt > 0 {
		out.DF = variance * variance / doubt
	}
	return out
}

// Percent writes a confidence, as "95 %".
func Percent(level float64) string { return strconv.FormatFloat(100*level, 'f', -1, 64) + " %" }

// Chance writes a chance as people read it: to three digits, and below a thousandth no more than that it is.
func Chance(p float64) string {
	if p < .001 {
		return "< 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}
