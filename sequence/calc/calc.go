// Package calc works out what a stringer otherwise reckons on scrap paper: the lengths to cut, what the strung bed
// will be, and what a tap on it says.
//
// Start with a Work, a job with everything that its files mean; then call Lengths, Bed or Ring.
package calc

import (
	"math"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Work is a job with what its files mean, and the plan made of them.
type Work struct {
	Frame     *patterns.Frame
	Technique *sequence.Technique
	Job       *sequence.Job
	Plan      *plan.Plan
	// Between is called between two pieces of what takes long, which goes on when it returns; nil for nothing.
	Between func()
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
