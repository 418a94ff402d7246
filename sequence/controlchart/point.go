package controlchart

import (
	"fmt"
	"time"
)

// Point is one stringing of a series, with what is known of how its racket was strung.
type Point struct {
	// Job is the number of the job in the book, Label what people call it; it may be empty.
	Job   int64
	Label string
	At    time.Time
	// Value is the share of the ordered tension that the bed kept, without a unit: 0.87 is 13 % below.
	Value float64
	// N is how many readings the value is the mean of, SD how far they spread.
	N  int
	SD float64
	// Machine, String and Stringer are names, empty where they are not told.
	Machine, String, Stringer string
	// Slips is how often the gripper or a clamp slipped.
	Slips int
	// Bare is how long the mains stood without crosses.
	Bare time.Duration
}

// name is what a drawing calls the point.
func (p Point) name() string {
	if p.Label != "" {
		return p.Label
	}
	return fmt.Sprint(p.Job)
}

// BareLimit is the time for which mains may stand without crosses before it counts as a change: the lower end of the
// 20 to 30 minutes that are common practice of the trade.
const BareLimit = 20 * time.Minute

// Change is something about a point that was otherwise before, or that is out of the ordinary.
type Change struct {
	// Point is the index of the point in the chart.
	Point int
	// What is "machine", "string", "stringer", "slips" or "bare".
	What string
	// Was is the name that was told last before, Is the name now. For slips and bare mains only Is is there.
	Was, Is string
}

// String says it in words.
func (c Change) String() string {
	switch c.What {
	case "slips":
		return c.Is
	case "bare":
		return "mains stood without crosses for " + c.Is
	}
	return fmt.Sprintf("%s was %s, is %s", c.What, c.Was, c.Is)
}

// changes are those of one point against the points before it. A name that is not told is no change; the name told last
// counts.
func changes(points []Point, i int) []Change {
	var out []Change
	for _, f := range []struct {
		what string
		of   func(Point) string
	}{
		{"machine", func(p Point) string { return p.Machine }},
		{"string", func(p Point) string { return p.String }},
		{"stringer", func(p Point) string { return p.Stringer }},
	} {
		is, was := f.of(points[i]), ""
		for j := i - 1; j >= 0 && was == ""; j-- {
			was = f.of(points[j])
		}
		if is != "" && was != "" && is != was {
			out = append(out, Change{i, f.what, was, is})
		}
	}
	switch n := points[i].Slips; {
	case n == 1:
		out = append(out, Change{Point: i, What: "slips", Is: "1 slip"})
	case n > 1:
		out = append(out, Change{Point: i, What: "slips", Is: fmt.Sprintf("%d slips", n)})
	}
	if b := points[i].Bare; b > BareLimit {
		out = append(out, Change{Point: i, What: "bare", Is: fmt.Sprintf("%.0f min", b.Minutes())})
	}
	return out
}
