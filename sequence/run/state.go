// Package run follows the work through a plan: which step is current, what is to be done again, where things should
// stand. It is a state machine over events and knows no clock and no storage.
//
// Start with Fold, which gives the State that a list of events leads to; State.Apply takes one event further.
// Where says where the clamps should be, Slips what can have slipped and AgainOps what a step asks for the second time.
package run

import (
	"fmt"
	"slices"

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

// State is where a job stands. It is a value: Apply returns another and leaves this one as it was.
//
// Steps are done in their order. A redo of a step that is done already opens a detour: that step is current until it
// is done, then the work goes on where it stood. The steps in between stay done. Detours may nest.
type State struct {
	steps     int
	front     int   // the first step that is not done, steps+1 when all are
	detours   []int // steps to be done once more, the next one last, each once
	abandoned bool
	redos     []int  // by step, nil before the first redo
	before    *State // where back leads, nil at the beginning
}

// Start is a job of a number of steps, at least 1, of which none is done.
func Start(steps int) State {
	if steps < 1 {
		panic(fmt.Sprintf("run: a job of %d steps", steps))
	}
	return State{steps: steps, front: 1}
}

// Fold starts a plan and applies the events in order. It refuses a plan without steps and the first event that does
// not fit.
func Fold(p *plan.Plan, events []Event) (State, error) {
	if len(p.Steps) == 0 {
		return State{}, fmt.Errorf("plan %s has no steps", p.Plan)
	}
	return Start(len(p.Steps)).ApplyAll(events)
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

// Steps is the number of steps of the plan.
func (s State) Steps() int { return s.steps }

// Current is the step at hand, from 1 to Steps; the last one when the job is finished.
func (s State) Current() int {
	if n := len(s.detours); n > 0 {
		return s.detours[n-1]
	}
	return min(s.front, s.steps)
}

// Last is the last step that is done, 0 when none is. Steps up to it stay done while one of them is done again.
func (s State) Last() int { return s.front - 1 }

// Status says whether the job is open, finished or abandoned.
func (s State) Status() Status {
	switch {
	case s.abandoned:
		return Abandoned
	case s.front > s.steps:
		return Finished
	}
	return Open
}

// Detour says whether the current step was done already and is done once more before the work goes on after Last.
func (s State) Detour() bool { return len(s.detours) > 0 }

// Redos counts how often a step was reported to be done again. Going back does not lower it: a slip has happened.
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
// Back takes back the newest done, redo or abandon that still counts, so that the current step is again the one
// before it: while a detour is open it closes the detour, otherwise it undoes the last step. It is refused where
// nothing is left to take back. A redo of the current step is counted and moves nothing.
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
		return s.redo(e.Step), nil
	case Abandon:
		next := s
		next.abandoned, next.before = true, &s
		return next, nil
	}
	return s, nil
}

func (s State) fits(e Event) error {
	switch e.Kind {
	case Note, Back:
	case Done, Redo, Resume, Abandon:
		if st := s.Status(); st != Open {
			return fmt.Errorf("%s does not fit: the job is %s", e.Kind, st)
		}
	default:
		return fmt.Errorf("no event is called %q", e.Kind)
	}
	if e.Kind == Redo && e.Step != s.Current() {
		return s.reached(e.Step)
	}
	if e.Step != s.Current() {
		return fmt.Errorf("%s for step %d does not fit: step %d is the current one", e.Kind, e.Step, s.Current())
	}
	if e.Kind == Back && !s.CanBack() {
		return fmt.Errorf("back does not fit: nothing is done before step %d", e.Step)
	}
	return nil
}

func (s State) reached(step int) error {
	switch {
	case step < 1 || step > s.steps:
		return fmt.Errorf("redo of step %d does not fit: the plan has steps 1 to %d", step, s.steps)
	case step > s.Last():
		return fmt.Errorf("redo of step %d does not fit: it is not done yet, only up to step %d", step, s.Last())
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

func (s State) back() State {
	next := *s.before
	next.redos = s.redos
	return next
}

func (s State) redo(step int) State {
	next := s
	next.redos = make([]int, s.steps+1)
	copy(next.redos, s.redos)
	next.redos[step]++
	if step == s.Current() {
		return next
	}
	next.before = &s
	next.detours = slices.DeleteFunc(slices.Clone(s.detours), func(d int) bool { return d == step })
	next.detours = append(next.detours, step)
	return next
}
