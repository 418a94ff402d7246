package controlchart

import (
	"math"
	"strconv"
)

// scale is how values lie on an axis that holds all of them and the limits.
type scale struct {
	low, high float64
	digits    int
}

// newScale makes room for some values; equal ones lie in the middle.
func newScale(values ...float64) scale {
	s := scale{low: math.Inf(1), high: math.Inf(-1)}
	for _, v := range values {
		s.low, s.high = min(s.low, v), max(s.high, v)
	}
	if s.high-s.low <= 1e-9*math.Abs(s.high) {
		room := max(math.Abs(s.high)/100, 1e-6)
		s.low, s.high = s.low-room, s.high+room
	}
	// Three digits tell places on the axis apart.
	s.digits = min(max(2-int(math.Floor(math.Log10(s.high-s.low))), 0), 9)
	return s
}

// individuals is the axis of the readings, ranges that of the moving ranges.
func (c *Chart) individuals() scale {
	values := []float64{c.Lower, c.Upper}
	for _, p := range c.Points {
		values = append(values, p.Value)
	}
	return newScale(values...)
}

func (c *Chart) ranges() scale { return newScale(append([]float64{0, c.RangeUpper}, c.Ranges...)...) }

// share is where a value lies: 0 at the top, 1 at the bottom.
func (s scale) share(v float64) float64 { return (s.high - v) / (s.high - s.low) }

func (s scale) format(v float64) string { return strconv.FormatFloat(v, 'f', s.digits, 64) }
