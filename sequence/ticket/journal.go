package ticket

import (
	"fmt"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// journal is what the events of a finished job come to.
type journal struct {
	at       time.Time       // when the last step was done
	followed *plan.Plan      // the one that was followed in the end
	redos    []string        // what was done again, and what had slipped
	mishaps  []ended         // what went wrong
	notes    []string        // words of the stringer
	brought  []progress.Kind // of the events whose plans are followed one after the other
}

// ended is what went wrong and how it ended, see plan.Op.Outcome.
type ended struct{ what, outcome string }

func follow(p *plan.Plan, events []progress.Event) (j journal, err error) {
	s, err := progress.Fold(p, nil)
	if err != nil {
		return j, err
	}
	for i, e := range events {
		next, err := s.Apply(e)
		if err != nil {
			return j, fmt.Errorf("event %d: %w", i+1, err)
		}
		j.note(e, s.Plan(), next.Plan())
		s = next
	}
	if s.Status() != progress.Finished {
		return j, fmt.Errorf("the job is %s, at step %d of %d, and a ticket goes with a finished racket; finish it on the bench first",
			s.Status(), s.Current(), s.Steps())
	}
	j.followed = s.Plan()
	return j, nil
}

// note takes one event. A slip has happened even when its redo was taken back; a mishap that was taken back has not.
func (j *journal) note(e progress.Event, was, is *plan.Plan) {
	switch {
	case e.Kind == progress.Done:
		j.at = e.At
	case e.Kind == progress.Redo:
		j.redos = append(j.redos, again(&was.Steps[e.Step-1], e))
	case e.Kind == progress.Mishap:
		what := e.Why
		if what == "" {
			what = e.What
		}
		outcome := plan.PutRight
		if e.Recorded() {
			outcome = e.Plan.Steps[e.Step-1].Mishap().Outcome()
		}
		j.mishaps = append(j.mishaps, ended{safe(what), safe(outcome)})
	case e.Kind == progress.Back && was != is:
		last := len(j.brought) - 1
		if j.brought[last] == progress.Mishap {
			j.mishaps = j.mishaps[:len(j.mishaps)-1]
		}
		j.brought = j.brought[:last]
	}
	if e.Plan != nil && was != is {
		j.brought = append(j.brought, e.Kind)
	}
	if e.Why != "" && e.Kind != progress.Back && e.Kind != progress.Mishap {
		j.notes = append(j.notes, safe(e.Why))
	}
}

// again names what slipped: by the words of its way back, or a step that was done again by its strand.
func again(s *plan.Step, e progress.Event) string {
	if e.Recorded() {
		return safe(e.Plan.Steps[e.Step-1].Title)
	}
	what := e.What
	name := fmt.Sprintf("step%c%d", glue, s.N)
	if o := s.Pull(); o != nil {
		name = string(o.Strand)
	} else if o := s.Lay(); o != nil {
		name = string(o.Strand)
	}
	switch what {
	case "":
		return name
	case progress.Gripper:
		return name + " (the gripper slipped)"
	}
	return fmt.Sprintf("%s (clamp%c%s slipped)", name, glue, safe(what))
}
