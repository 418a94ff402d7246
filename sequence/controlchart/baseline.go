package controlchart

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// d2 is the mean range of two values of a normal distribution with a standard deviation of one.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
const d2 = 1.128

// LeastBaseline is from how many stringings on a first period makes limits: common practice.
const LeastBaseline = 20

// trendLevel is the chance below which the slope of a baseline counts as a trend.
const trendLevel = 0.05

// Baseline is the first period of a chart: limits come from it and judge what comes later. It is judged once and kept, so
// that no later reading moves the limits.
type Baseline struct {
	// Name is what it is called; empty while nobody has decided on it.
	Name string
	// N is how many stringings it has; 0 where centre and sigma are known from elsewhere.
	N int
	// Centre is the mean and Sigma the spread of one value, in their unit. Sigma is the unbiased standard deviation, or with
	// a trend the mean moving range over 1.128, which a trend touches little.
	Centre, Sigma float64
	// TrendP is the chance of such a slope, either way, where there is no trend.
	TrendP float64
	// Until is when its last stringing was read: what was read later is judged.
	Until time.Time
}

// TooFew says that there are not enough values to reckon with.
type TooFew struct{ Has, Needs int }

func (e TooFew) Error() string {
	return fmt.Sprintf("%d stringings are too few; it takes %d", e.Has, e.Needs)
}

// Judge makes a baseline of all of some points in the order in which they were strung, and leaves none of them out. It fails
// with TooFew below LeastBaseline, and with a value that is no finite number.
func Judge(name string, points []Point) (Baseline, error) {
	if len(points) < LeastBaseline {
		return Baseline{}, TooFew{len(points), LeastBaseline}
	}
	b := Baseline{Name: name, N: len(points), Until: points[len(points)-1].At}
	// All is reckoned beyond the first value: equal values keep their last digit and have no spread.
	beyond, order := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		if math.IsNaN(p.Value) || math.IsInf(p.Value, 0) {
			return Baseline{}, fmt.Errorf("the reading of job %d is no number", p.Job)
		}
		beyond[i], order[i] = p.Value-points[0].Value, float64(i)
	}
	mean, sd := stat.MeanStdDev(beyond, nil)
	b.Centre, b.Sigma = points[0].Value+mean, sd/c4(len(points))
	if _, _, b.TrendP = slope(order, beyond); b.Trend() {
		b.Sigma = movingSigma(beyond)
	}
	return b, nil
}

// movingSigma is the spread of values from their mean moving range.
func movingSigma(values []float64) float64 {
	moved := 0.0
	for i, v := range values[1:] {
		moved += math.Abs(v - values[i])
	}
	return moved / float64(len(values)-1) / d2
}

// Trend says whether the baseline drifts: then its cause comes first, and another period is named.
func (b Baseline) Trend() bool { return b.N > 0 && b.TrendP < trendLevel }

// Limits are the limits of the individuals.
func (b Baseline) Limits() (lower, upper float64) {
	half := perWidth * at(b.N).width * b.Sigma
	return b.Centre - half, b.Centre + half
}

// EWMALimits are those of the EWMA at the value number i after the baseline, from 1: they grow from the start.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4, for many values; the share that has grown by then is
// 1 − (1 − λ)^2i, as in Lucas and Saccucci, Technometrics 32 (1990).
func (b Baseline) EWMALimits(i int) (lower, upper float64) {
	half := at(b.N).width * b.Sigma * ewmaSigma(Lambda, i)
	return b.Centre - half, b.Centre + half
}

// Power is the chance that a shift of Shift sigma is seen within Within stringings.
func (b Baseline) Power() float64 { return at(b.N).power }

// ewmaSigma is the standard deviation of an EWMA after i values, in theirs.
func ewmaSigma(lambda float64, i int) float64 {
	return math.Sqrt(lambda / (2 - lambda) * (1 - math.Pow(1-lambda, 2*float64(i))))
}

// ewma is the next value of an EWMA.
func ewma(lambda, last, value float64) float64 { return last + lambda*(value-last) }

// c4 is the mean standard deviation of n normal values with a standard deviation of one, which makes it unbiased.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.1.
func c4(n int) float64 {
	a, _ := math.Lgamma(float64(n) / 2)
	b, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(a-b)
}

// slope is the least-squares slope of y over x, its standard error, and the chance of one as steep by t with n − 2 degrees
// of freedom.
func slope(x, y []float64) (b, se, p float64) {
	a, b := stat.LinearRegression(x, y, nil, false)
	rest := 0.0
	for i := range x {
		e := y[i] - a - b*x[i]
		rest += e * e
	}
	n := float64(len(x))
	se = math.Sqrt(rest / (n - 2) / (stat.Variance(x, nil) * (n - 1)))
	if se == 0 {
		return b, se, 1
	}
	return b, se, 2 * distuv.StudentsT{Sigma: 1, Nu: n - 2}.CDF(-math.Abs(b/se))
}
