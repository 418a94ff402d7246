// Package schedule says how long rackets take at this bench, and what that says of the queue: when each racket will be ready,
// and whether that is too late for what was promised. It knows no clock: times come with the events, and now is passed in.
//
// Start with Measure, which reads the time of the work out of a job's events. Paces makes those of the stringers of that,
// Pace.Left says how much of a job is left, and Queue plays the jobs that wait over people, machines and hours.
package schedule

import (
	"fmt"
	"math"
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

// Pace is how long the work takes at a bench, or in somebody's hands. Paces makes them; the zero Pace is a guess.
type Pace struct {
	// Jobs is the number of finished jobs that were measured.
	Jobs int
	// Phases is the hands-on time in each phase, nil unless the pace is Known.
	Phases map[plan.Phase]Span
	// Whole is from one racket to the next: the Guess unless the pace is Known.
	Whole Span

	own own
}

// Known says whether enough jobs were measured. Otherwise Whole is a guess, and a screen has to say so; String does.
func (p Pace) Known() bool { return p.Jobs >= Enough }

// String says what a whole racket takes, as "about 32 min (28 to 36), from 5 rackets".
func (p Pace) String() string {
	if !p.Known() {
		return fmt.Sprintf("%s, a guess until %d rackets are done", p.whole(), Enough)
	}
	return fmt.Sprintf("%s, from %d rackets", p.Whole, p.Jobs)
}

func (p Pace) whole() Span {
	if !p.Known() {
		return Guess()
	}
	return p.Whole
}

// Paces are those of each pair of hands, by its key, and under "" that of all of them: medians and quartiles of what the rackets
// took that are finished. One that took long counts as one of many, whatever held it up. Days are those of now's zone, and what the
// rackets of today say of today counts for the rest of it.
func Paces(now time.Time, works []Work) map[string]Pace {
	works = slices.DeleteFunc(slices.Clone(works), func(w Work) bool { return !w.Finished || w.Hands() <= 0 }) // one that was entered afterwards took no time
	slices.SortStableFunc(works, func(a, b Work) int { return a.Ended.Compare(b.Ended) })
	of := map[string]*sample{"": {}}
	for i, d := range took(works) {
		for _, hand := range slices.Compact([]string{"", works[i].Stringer}) {
			if of[hand] == nil {
				of[hand] = &sample{}
			}
			of[hand].add(works[i], d, works[i].Ended.In(now.Location()))
		}
	}
	out := map[string]Pace{}
	for hand, s := range of {
		out[hand] = s.pace(now)
	}
	return out
}

// sample is what was measured of some rackets.
type sample struct {
	works        []Work
	whole, steps []float64
	times        []timed
}

func (s *sample) add(w Work, took time.Duration, ended time.Time) {
	s.works, s.whole, s.steps = append(s.works, w), append(s.whole, float64(took)), append(s.steps, w.steps())
	s.times = append(s.times, timed{math.Log(float64(took) / w.steps()), ended.Format(time.DateOnly)})
}

func (s *sample) pace(now time.Time) Pace {
	p := Pace{Jobs: len(s.works), Whole: Guess(), own: guessed()}
	if !p.Known() {
		return p
	}
	p.Whole, p.own = quartiles(s.whole), ownTimes(s.times, now.Format(time.DateOnly), median(s.steps))
	p.Phases = map[plan.Phase]Span{}
	for _, phase := range plan.Phases() {
		x := make([]float64, len(s.works))
		for i := range s.works {
			x[i] = float64(s.works[i].Phases[phase])
		}
		p.Phases[phase] = quartiles(x)
	}
	return p
}

// steps is at least one.
func (w Work) steps() float64 { return float64(max(w.Steps, 1)) }

// Other is the pace of somebody at the same bench of whom nothing is known.
func (p Pace) Other() Pace {
	o := p.model()
	o.unsure, o.today, o.doubt = math.Hypot(o.unsure, otherFactor), 0, o.day
	p.own = o
	return p
}

// model is the own times, those of the guess where there are none.
func (p Pace) model() own {
	if p.own.steps == 0 {
		return guessed()
	}
	return p.own
}

// quartiles are the lower quartile, the median and the upper quartile of some times. All three are times that were
// measured: of an even number of jobs the median is the lower of the two in the middle.
func quartiles(x []float64) Span {
	x = slices.Sorted(slices.Values(x))
	at := func(p float64) time.Duration { return time.Duration(stat.Quantile(p, stat.Empirical, x, nil)) }
	return Span{Low: at(0.25), Mid: at(0.5), High: at(0.75)}
}

func median(x []float64) float64 {
	return stat.Quantile(0.5, stat.Empirical, slices.Sorted(slices.Values(x)), nil)
}

// Left is the share of a racket that is still to be done: none once it is closed, all before its first step. First is the job's
// first plan, s where it stands. Phases weigh as their medians do, and the steps of a phase alike; in a guess all steps
// weigh alike. What a mishap brought is counted as further steps of its phase, so that more than a whole one can be left; so is
// a step that is to be done again, though of several only the current one.
func (p Pace) Left(first *plan.Plan, s progress.State) float64 {
	if s.Status() != progress.Open {
		return 0
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
		return 0
	}
	return rest / sum
}

// steps counts the steps of each phase.
func steps(list []plan.Step) map[plan.Phase]int {
	n, from := map[plan.Phase]int{}, 0
	for i := range list { // of a phase together, as they come
		if i+1 == len(list) || list[i+1].Phase != list[i].Phase {
			n[list[i].Phase], from = n[list[i].Phase]+i+1-from, i+1
		}
	}
	return n
}
