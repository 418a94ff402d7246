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

// individuals is the axis of the readings and their EWMA, averages that of the EWMA alone, ranges that of the moving ranges.
func (c *Chart) individuals() scale {
	var values []float64
	if c.Base != nil {
		lower, upper := c.Base.Limits()
		values = append(values, lower, upper)
	}
	for _, p := range c.Points {
		values = append(values, p.Value)
	}
	return newScale(append(values, c.EWMA...)...)
}

func (c *Chart) averages() scale {
	values := []float64{c.centre()}
	for i, z := range c.EWMA {
		low, high := c.EWMALimits(i)
		values = append(values, z, low, high)
	}
	return newScale(values...)
}

func (c *Chart) ranges() scale { return newScale(append([]float64{0}, c.Ranges...)...) }

// centre is the baseline's, or the mean of what there is.
func (c *Chart) centre() float64 {
	if c.Base != nil {
		return c.Base.Centre
	}
	sum := 0.0
	for _, p := range c.Points {
		sum += p.Value / float64(len(c.Points))
	}
	return sum
}

// share is where a value lies: 0 at the top, 1 at the bottom.
func (s scale) share(v float64) float64 { return (s.high - v) / (s.high - s.low) }

func (s scale) format(v float64) string { return strconv.FormatFloat(v, 'f', s.digits, 64) }
