// Package numbers works out what a stringer otherwise reckons on scrap paper: the lengths to cut, what the strung bed
// will be, and what a tap on it says.
//
// Start with a Work, a job with everything that its files mean; then call Lengths, Bed or Ring.
package numbers

import (
	"math"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Work is a job with what its files mean, and the plan made of them.
type Work struct {
	Frame     *patterns.Frame
	Technique *sequence.Technique
	Job       *sequence.Job
	Plan      *plan.Plan
}

// Grid is where the strings of a frame lie, as measured or most even.
func Grid(f *patterns.Frame) (*grid.Grid, error) {
	g, err := grid.New(f, f.Measured)
	if err == nil {
		return g, nil
	}
	var problems source.Problems
	for line := range strings.SplitSeq(err.Error(), "\n") {
		problems = append(problems, source.Problem{File: f.File, Pos: f.HoopAt, Text: line})
	}
	return nil, problems
}

// doubts are what is odd about a grid; nothing is refused.
func doubts(g *grid.Grid) []string { return g.Illegal() }

// Farthest is the end of a strand that lies farthest off the even grid; ok is false where the grid is even.
func Farthest(g *grid.Grid) (far grid.Departure, ok bool) {
	for _, d := range g.Departures {
		if math.Abs(d.Pitches) > math.Abs(far.Pitches) {
			far, ok = d, true
		}
	}
	return far, ok
}
