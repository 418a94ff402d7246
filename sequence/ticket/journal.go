package ticket

import (
	"fmt"
	"slices"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// journal is what the events of a finished job come to.
type journal struct {
	at       time.Time  // when the last step was done
	followed *plan.Plan // the one that was followed in the end
	redos    []string   // what was done again, and what had slipped
	right    []string   // what went wrong and was put right
	lasting  []string   // what the racket has otherwise than was planned
	notes    []string   // words of the stringer
}

func follow(p *plan.Plan, events []progress.Event) (j journal, err error) {
	past, err := progress.Play(p, events)
	if err != nil {
		return j, err
	}
	var happened []int
	var plans []*plan.Plan // that were followed by then
	for i, e := range events {
		of := i + 1
		switch e.Kind {
		case progress.Redo, progress.Mishap:
		case progress.Why:
			of = e.Of
		default:
			j.note(e)
			continue
		}
		if slices.Contains(past.Stand, of) { // what was taken back has not happened
			j.note(e)
			happened = append(happened, i)
			plans = append(plans, past.States[i].Plan())
		}
	}
	s := past.Now()
	if s.Status() != progress.Finished {
		return j, fmt.Errorf("the job is %s, at step %d of %d, and a ticket goes with a strung racket; finish it on the bench first",
			s.Status().Says(), s.Current(), s.Steps())
	}
	j.followed = s.Plan()
	now := s.Racket()
	for i, at := range happened {
		switch e := events[at]; {
		case e.Kind == progress.Redo:
			j.redos = append(j.redos, again(&plans[i].Steps[e.Step-1], e))
		case e.Kind == progress.Mishap && e.Outcome(now) == plan.PutRight:
			j.right = append(j.right, safe(e.Told()))
		}
	}
	for _, text := range progress.Lasting(events, past.Stand, now) {
		j.lasting = append(j.lasting, bindUnits(safe(text)))
	}
	return j, nil
}

// note keeps when the work was done and the words of the stringer; those of a mishap say what it was.
func (j *journal) note(e progress.Event) {
	if e.Kind == progress.Done {
		j.at = e.At
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
