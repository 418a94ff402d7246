// Package schedule says how long rackets take at this bench, and what that says of the queue: when each racket will be ready,
// and whether that is too late for what was promised. It knows no clock: times come with the events, and now is passed in.
//
// Start with Measure, which reads the time of the work out of a job's events. Typical makes the bench's pace of that,
// Pace.Left the time that a job still takes, and Queue puts the jobs that wait into their order.
package schedule

import (
	"fmt"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// Enough is the number of rackets without which there is no pace: quartiles of fewer say nothing. It is this program's
// own choice.
const Enough = 3

// Guess is what a whole racket takes as long as there is no pace: 25 to 40 minutes are common practice of the trade, the
// middle is halfway between them.
func Guess() Span {
	return Span{Low: 25 * time.Minute, Mid: 32*time.Minute + 30*time.Second, High: 40 * time.Minute}
}

// Pace is how long the work takes at a bench. Typical makes one; the zero Pace says that nothing takes any time.
type Pace struct {
	// Jobs is the number of finished jobs that were measured.
	Jobs int
	// Phases is the work in each phase, nil unless the pace is Known.
	Phases map[plan.Phase]Span
	// Whole is the work in a whole job: the Guess unless the pace is Known.
	Whole Span
}

// Known says whether enough jobs were measured. Otherwise Whole is a guess, and a screen has to say so; String does.
func (p Pace) Known() bool { return p.Jobs >= Enough }

// String says what a whole racket takes, as "about 32 min (28 to 36), from 5 rackets".
func (p Pace) String() string {
	if !p.Known() {
		return fmt.Sprintf("%s, a guess until %d rackets are done", p.Whole, Enough)
	}
	return fmt.Sprintf("%s, from %d rackets", p.Whole, p.Jobs)
}

// Typical is the pace of those of some jobs that are finished: medians and quartiles of the hands-on time. A racket that
// took long counts as one of many, whatever held it up.
func Typical(works []Work) Pace {
	var done []Work
	for i := range works {
		if works[i].Finished {
			done = append(done, works[i])
		}
	}
	p := Pace{Jobs: len(done), Whole: Guess()}
	if !p.Known() {
		return p
	}
	p.Whole = quartiles(done, Work.Hands)
	p.Phases = map[plan.Phase]Span{}
	for _, phase := range plan.Phases() {
		p.Phases[phase] = quartiles(done, func(w Work) time.Duration { return w.Phases[phase] })
	}
	return p
}

// quartiles are the lower quartile, the median and the upper quartile of some time. All three are times that were
// measured: of an even number of jobs the median is the lower of the two in the middle.
func quartiles(works []Work, of func(Work) time.Duration) Span {
	x := make([]float64, len(works))
	for i := range works {
		x[i] = float64(of(works[i]))
	}
	slices.Sort(x)
	at := func(p float64) time.Duration { return time.Duration(stat.Quantile(p, stat.Empirical, x, nil)) }
	return Span{Low: at(0.25), Mid: at(0.5), High: at(0.75)}
}

// Left is the time that a job still takes: none once it is closed, all of Whole before its first step. First is the job's
// first plan, s where it stands. Phases weigh as their medians do, and the steps of a phase alike; in a guess all steps
// weigh alike. What a mishap brought is counted as further steps of its phase, so that more than Whole can be left; so is
// a step that is to be done again, though of several only the current one.
func (p Pace) Left(first *plan.Plan, s progress.State) Span {
	if s.Status() != progress.Open {
		return Span{}
	}
	all, left := steps(first.Steps), steps(s.Plan().Steps[s.Last():])
	if s.Detour() {
		left[s.Plan().Steps[s.Current()-1].Phase]++
	}
	var sum, rest float64
	for phase, n := range all {
		weight := float64(n)
		if p.Known() {
			weight = float64(p.Phases[phase].Mid)
		}
		sum += weight
		rest += weight * float64(left[phase]) / float64(n)
	}
	if sum == 0 {
		return Span{}
	}
	return p.Whole.times(rest / sum)
}

// steps counts the steps of each phase.
func steps(list []plan.Step) map[plan.Phase]int {
	n := map[plan.Phase]int{}
	for i := range list {
		n[list[i].Phase]++
	}
	return n
}
