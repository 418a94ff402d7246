package progress

import (
	"fmt"

	"pullcard/sequence/plan"
)

// Incidents are the numbers, counted from 1, of the redos and mishaps among a job's events that count: what back went over since did
// not happen. Ticket, last screen and journal ask here, so that they tell the same. The error says which event does not fit the plan.
func Incidents(p *plan.Plan, events []Event) (numbers []int, err error) {
	s := Start(p)
	var before []int // how many there were before each event that back can take back
	for i, e := range events {
		next, err := s.Apply(e)
		if err != nil {
			return nil, fmt.Errorf("event %d: %w", i+1, err)
		}
		switch {
		case e.Kind == Back:
			last := len(before) - 1
			numbers, before = numbers[:before[last]], before[:last]
		case next.before != s.before:
			before = append(before, len(numbers))
		}
		if e.Kind == Redo || e.Kind == Mishap && e.What != string(plan.FaultPause) { // an interruption is none
			numbers = append(numbers, i+1)
		}
		s = next
	}
	return numbers, nil
}

// Outcome says how a slip or mishap ended, as plan.Op.Outcome does, with the racket as it is now: nothing lasts of what was in string
// that was cut out since, and a knot that was moved is said only while it is there.
func (e *Event) Outcome(now *plan.Racket) string {
	if !e.Recorded() {
		return plan.PutRight
	}
	o := e.Plan.Steps[e.Step-1].Mishap()
	if o == nil {
		return plan.PutRight
	}
	ended, moved := o.Outcome(), plan.Hole(o.Choose)
	switch was, is := e.Plan.After(e.Step).Span(o.Strand), now.Span(o.Strand); {
	case o.Fault == plan.FaultSplit:
		if ended = "the hole stays split"; now.Sleeved(o.Hole) {
			ended = "a sleeve is in it"
		}
		if moved.Parts().N > 0 && now.KnotIn(moved) != nil {
			ended = "its knot went into " + o.Choose + ", " + ended
		}
	case ended != plan.PutRight && was != nil && is != nil && was.Nth != is.Nth:
		return plan.PutRight
	}
	return ended
}
