package controlchart

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// The factors for a range of two points. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (d2) and the
// table in 6.3.2.1 (D4, from memory).
const (
	d2 = 1.128
	d4 = 3.267
)

// Enough is how many points make limits that can be trusted: common practice.
const Enough = 20

// Limits are the lines of a chart, in the unit of its values.
type Limits struct {
	// Centre is the mean, Lower and Upper lie three Sigma from it; Sigma is the mean moving range over 1.128.
	Centre, Lower, Upper, Sigma float64
	// MeanRange is the mean moving range, RangeUpper its upper limit; the lower one is nought.
	MeanRange, RangeUpper float64
	// From is how many points, from the first on, the limits were made of.
	From int
}

// Trusted says whether enough points made the limits. With fewer, show the limits as a first guess.
func (l Limits) Trusted() bool { return l.From >= Enough }

// Chart is a chart of individuals and moving ranges.
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
type Chart struct {
	Points []Point
	// Ranges are the moving ranges: Ranges[i] lies between points i and i+1.
	Ranges []float64
	Limits
	// Broken are the rules that each point breaks, in order; nil for none.
	Broken [][]Rule
}

// TooFew says that there are not enough values to reckon with.
type TooFew struct{ Has, Needs int }

func (e TooFew) Error() string {
	return fmt.Sprintf("%d readings are too few; it takes %d", e.Has, e.Needs)
}

// New makes a chart of points in the order in which they were strung. Its limits come from the first baseline points, from
// all of them with 0. It fails with TooFew below two points, with a baseline that is 1 or larger than the series, and with
// a value that is no finite number.
func New(points []Point, baseline int) (*Chart, error) {
	if baseline == 0 {
		baseline = len(points)
	}
	if least := min(len(points), baseline); least < 2 {
		return nil, TooFew{least, 2}
	}
	if baseline > len(points) {
		return nil, TooFew{len(points), baseline}
	}
	c := &Chart{Points: points, Ranges: make([]float64, len(points)-1), Broken: make([][]Rule, len(points))}
	for i, p := range points {
		if math.IsNaN(p.Value) || math.IsInf(p.Value, 0) {
			return nil, fmt.Errorf("the reading of job %d is no number", p.Job)
		}
		if i > 0 {
			c.Ranges[i-1] = math.Abs(p.Value - points[i-1].Value)
		}
	}
	c.Limits = limits(points[:baseline], c.Ranges[:baseline-1])
	for i := range points {
		c.Broken[i] = c.broken(i)
	}
	return c, nil
}

func limits(points []Point, ranges []float64) Limits {
	// The mean is taken of what lies beyond the first value, so that the centre of equal values is that value to the last
	// digit and none of them lies beyond limits without width.
	first := points[0].Value
	beyond := make([]float64, len(points))
	for i, p := range points {
		beyond[i] = p.Value - first
	}
	l := Limits{Centre: first + stat.Mean(beyond, nil), MeanRange: stat.Mean(ranges, nil), From: len(points)}
	l.Sigma = l.MeanRange / d2
	l.Lower, l.Upper = l.Centre-3*l.Sigma, l.Centre+3*l.Sigma
	l.RangeUpper = d4 * l.MeanRange
	return l
}

// Flagged are the indices of the points that break a rule.
func (c *Chart) Flagged() []int {
	var out []int
	for i, b := range c.Broken {
		if len(b) > 0 {
			out = append(out, i)
		}
	}
	return out
}

// Jumped says whether point i lies further from the one before it than the limit of the moving range. The first never does.
func (c *Chart) Jumped(i int) bool { return i > 0 && c.Ranges[i-1] > c.RangeUpper }

// Changed tells what was otherwise at point i, and, where it ends a run that breaks a rule, at every point of that run:
// what moved the readings lies at its beginning. Oldest first.
func (c *Chart) Changed(i int) []Change {
	span := 1
	for _, r := range c.Broken[i] {
		span = max(span, r.span())
	}
	var out []Change
	for j := max(0, i-span+1); j <= i; j++ {
		out = append(out, changes(c.Points, j)...)
	}
	return out
}
