package controlchart

import (
	"fmt"
	"math"
)

// Alarm is what of a point lies beyond its limits.
type Alarm struct{ Individual, EWMA bool }

// Any says whether anything does.
func (a Alarm) Any() bool { return a.Individual || a.EWMA }

// String says it in words.
func (a Alarm) String() string {
	switch {
	case a.Individual && a.EWMA:
		return "the stringing and the EWMA lie beyond their limits"
	case a.Individual:
		return "the stringing lies beyond its limits"
	case a.EWMA:
		return "the EWMA lies beyond its limits"
	}
	return "within the limits"
}

// Chart is a chart of individuals with an EWMA beside them and moving ranges below.
type Chart struct {
	Points []Point
	// Base is the baseline; nil while there are too few stringings for one: then nothing is judged.
	Base *Baseline
	// First is the index of the first point that is judged.
	First int
	// EWMA has the value of each point that is judged: EWMA[i] is that of point First+i. It begins at the centre.
	EWMA []float64
	// Ranges are the moving ranges: Ranges[i] lies between points i and i+1. They are shown and raise no alarm.
	Ranges []float64
	// Alarms has one for each point; those of the baseline have none.
	Alarms []Alarm

	left int // how many judged points before the first of EWMA are not shown
}

// New makes a chart of points in the order in which they were strung. Points that were read later than the baseline's end are
// judged; without a baseline none is. It fails with TooFew below two points and with a value that is no finite number.
func New(points []Point, base *Baseline) (*Chart, error) {
	if len(points) < 2 {
		return nil, TooFew{len(points), 2}
	}
	c := &Chart{Points: points, Base: base, First: len(points), Ranges: make([]float64, len(points)-1), Alarms: make([]Alarm, len(points))}
	for i, p := range points {
		if math.IsNaN(p.Value) || math.IsInf(p.Value, 0) {
			return nil, fmt.Errorf("the reading of job %d is no number", p.Job)
		}
		if i > 0 {
			c.Ranges[i-1] = math.Abs(p.Value - points[i-1].Value)
		}
		if base != nil && c.First == len(points) && p.At.After(base.Until) {
			c.First = i
		}
	}
	c.judge()
	return c, nil
}

// judge looks at the points after the baseline.
func (c *Chart) judge() {
	if c.Base == nil {
		return
	}
	lower, upper := c.Base.Limits()
	z := c.Base.Centre
	for i := c.First; i < len(c.Points); i++ {
		v := c.Points[i].Value
		z = ewma(Lambda, z, v)
		c.EWMA = append(c.EWMA, z)
		low, high := c.EWMALimits(i - c.First)
		c.Alarms[i] = Alarm{Individual: v < lower || v > upper, EWMA: z < low || z > high}
	}
}

// Flagged are the indices of the points that raise an alarm.
func (c *Chart) Flagged() []int {
	var out []int
	for i, a := range c.Alarms {
		if a.Any() {
			out = append(out, i)
		}
	}
	return out
}

// Last is the chart of the last n points alone, judged as they are in the whole: for a drawing that has no room for all. It
// shows two at least.
func (c *Chart) Last(n int) *Chart {
	away := len(c.Points) - max(n, 2)
	if away <= 0 {
		return c
	}
	out := *c
	out.Points, out.Ranges, out.Alarms = c.Points[away:], c.Ranges[away:], c.Alarms[away:]
	judged := max(away-c.First, 0)
	out.First, out.EWMA, out.left = max(c.First-away, 0), c.EWMA[judged:], c.left+judged
	return &out
}

// EWMALimits are the limits of EWMA[i].
func (c *Chart) EWMALimits(i int) (lower, upper float64) { return c.Base.EWMALimits(c.left + i + 1) }

// LookBack is how many points before an alarm of the EWMA are looked at for what changed: it remembers about so many.
const LookBack = 10

// Changed tells what was otherwise at point i, and where the EWMA alarms, at the points before it that moved it: oldest first.
func (c *Chart) Changed(i int) []Change {
	span := 1
	if c.Alarms[i].EWMA {
		span += LookBack
	}
	var out []Change
	for j := max(0, i-span+1); j <= i; j++ {
		out = append(out, changes(c.Points, j)...)
	}
	return out
}
