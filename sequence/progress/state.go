// Package progress follows the work through a plan: which step is current, what is to be done again, where things should
// stand, which plan is followed after a mishap. It is a state machine over events and knows no clock and no storage.
//
// Start with Fold, which gives the State that a list of events leads to; State.Apply takes one event further. What the
// racket is like there is State.Racket's to say.
package progress

import (
	"fmt"

	"pullcard/sequence/plan"
)

// Status is what has become of a job.
type Status string

// A job is open until its last step is done or it is given up.
const (
	Open      Status = "open"
	Finished  Status = "done"
	Abandoned Status = "abandoned"
)

// Says is the word for it wherever people read it.
func (s Status) Says() string {
	switch s {
	case Finished:
		return "strung"
	case Abandoned:
		return "given up"
	case Open:
		return "in work"
	}
	return string(s) // which is none: a damaged book has it
}

// State is where a job stands. It is a value: Apply returns another and leaves this one as it was.
//
// Steps are done in their order. A mishap, or a redo with a plan, changes the plan under the work: what is done stays
// done, what is still to come is the new plan's.
//
// In older books a redo without a plan of a step that is done opens a detour: that step is current until it is done, then
// the work goes on where it stood. The steps in between stay done. Detours may nest.
type State struct {
	plan      *plan.Plan // the one that is followed
	front     int        // the first step that is not done, one more than there are when all are
	detours   []int      // steps to be done once more, the next one last, each once
	abandoned bool
	redos     []int  // by step, nil before the first redo, otherwise longer than Last
	before    *State // where back leads, nil at the beginning
}

// Start is a job of which no step is done. The plan has steps and is not to be changed afterwards.
func Start(p *plan.Plan) State {
	if len(p.Steps) == 0 {
		panic("run: a job without steps")
	}
	return State{plan: p, front: 1}
}

// Fold starts a plan and applies the events in order. It refuses a plan without steps and the first event that does
// not fit. The plan is the job's first; those that followed it are in the events.
func Fold(p *plan.Plan, events []Event) (State, error) {
	if len(p.Steps) == 0 {
		return State{}, fmt.Errorf("plan %s has no steps", p.Plan)
	}
	return Start(p).ApplyAll(events)
}

// ApplyAll applies events in order and stops at the first that does not fit, which the error counts from 1.
func (s State) ApplyAll(events []Event) (State, error) {
	for i, e := range events {
		next, err := s.Apply(e)
		if err != nil {
			return s, fmt.Errorf("event %d: %w", i+1, err)
		}
		s = next
	}
	return s, nil
}

// Plan is the plan that is followed now: the first one, or the newest mishap's that was not taken back. It is not to be
// changed.
func (s State) Plan() *plan.Plan { return s.plan }

// Steps is the number of steps of the plan that is followed now.
func (s State) Steps() int { return len(s.plan.Steps) }

// Current is the step at hand, from 1 to Steps; the last one when the job is finished.
func (s State) Current() int {
	if n := len(s.detours); n > 0 {
		return s.detours[n-1]
	}
	return min(s.front, s.Steps())
}

// Racket is the racket as it is when the steps that are done are.
func (s State) Racket() *plan.Racket { return s.plan.After(s.Last()) }

// Last is the last step that is done, 0 when none is. Steps up to it stay done while one of them is done again.
func (s State) Last() int { return s.front - 1 }

// Status says whether the job is open, finished or abandoned. A plan that ends the work on a cracked frame leaves an
// abandoned job and no strung racket.
func (s State) Status() Status {
	switch {
	case s.abandoned, s.front > s.Steps() && s.plan.Cracked():
		return Abandoned
	case s.front > s.Steps():
		return Finished
	}
	return Open
}

// Detour says whether the current step was done already and is done once more before the work goes on after Last.
func (s State) Detour() bool { return len(s.detours) > 0 }

// Redos counts how often a step was reported to be done again; what back went over since does not count. A mishap leaves the counts
// of the steps that are done; those still to come are others then and have none.
func (s State) Redos(step int) int {
	if step < 1 || step >= len(s.redos) {
		return 0
	}
	return s.redos[step]
}

// CanBack says whether there is anything that back can take back.
func (s State) CanBack() bool { return s.before != nil }

// Apply is the state after an event. The error says why an event does not fit; the state is then unchanged.
//
// Back takes back the newest done, redo, mishap or abandon that still counts, so that the current step is again the one
// before it: while a detour is open it closes the detour, otherwise it undoes the last step, or, when none was done
// since a mishap, the mishap. It is refused where nothing is left to take back. A redo of the current step without a plan
// is counted and moves nothing; one with a plan follows it and is counted.
//
// The plan of a mishap or redo begins with the steps that are done. It is refused while a detour is open, for such a plan
// takes it that all that was done holds: the step that is done again is finished first or back closes the detour.
func (s State) Apply(e Event) (State, error) {
	if err := s.fits(e); err != nil {
		return s, err
	}
	switch e.Kind {
	case Done:
		return s.done(), nil
	case Back:
		return s.back(), nil
	case Redo:
		return s.redo(e), nil
	case Mishap:
		return s.mishap(e.Plan), nil
	case Abandon:
		next := s
		next.abandoned, next.before = true, &s
		return next, nil
	}
	return s, nil
}

func (s State) fits(e Event) error {
	switch e.Kind {
	case Note, Why, Back:
	case Done, Redo, Mishap, Resume, Abandon:
		if st := s.Status(); st != Open {
			return fmt.Errorf("%s does not fit: the job is %s", e.Kind, st.Says())
		}
	default:
		return fmt.Errorf("no event is called %q", e.Kind)
	}
	if e.Kind == Redo && e.Plan == nil && e.Step != s.Current() {
		return s.reached(e.Step)
	}
	if e.Step != s.Current() {
		return fmt.Errorf("%s for step %d does not fit: step %d is the current one", e.Kind, e.Step, s.Current())
	}
	if e.Kind == Back && !s.CanBack() {
		return fmt.Errorf("back does not fit: nothing is done before step %d", e.Step)
	}
	if e.Kind == Mishap || e.Plan != nil && e.Kind == Redo {
		return s.follows(e)
	}
	return nil
}

func (s State) done() State {
	next := s
	next.before = &s
	if n := len(s.detours); n > 0 {
		next.detours = s.detours[:n-1] // redo clones before it appends
		return next
	}
	next.front++
	return next
}

func (s State) back() State { return *s.before }
