package sequence

import (
	"errors"
	"fmt"
	"strings"

	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// Prove lets the referee play what is still to come of a plan of which the first done steps are done, and asks it after each step
// whether the racket is as the screens would show it; what is done is as it is. The error says what rules the plan breaks where, or
// what would be shown otherwise, which is a fault of pullcard.
func Prove(p *plan.Plan, done int) error {
	table, breaches := referee.From(&p.Terms, p.Steps[:done])
	if table == nil {
		return faulty(breaches)
	}
	breaches = nil
	racket, other := p.After(done), ""
	for i := range p.Steps[done:] {
		s := &p.Steps[done+i]
		breaches = append(breaches, table.Step(s)...)
		if racket.ApplyAll(s.Ops); other == "" {
			if d := table.View(nil).Differs(racket); d != "" {
				other = fmt.Sprintf("after step %d %s", s.N, d)
			}
		}
	}
	breaches = append(breaches, table.Finish(p.Totals)...)
	if len(breaches) == 0 && other != "" {
		return fmt.Errorf("this plan would be shown otherwise than it is, so it is not: %s; that is a fault of pullcard, please report it", other)
	}
	return faulty(breaches)
}

func faulty(breaches []referee.Breach) error {
	if len(breaches) == 0 {
		return nil
	}
	lines := []string{"this plan does not keep the rules, so it is not shown; that is a fault of pullcard, please report it with the job, layout and technique files"}
	for _, b := range breaches {
		lines = append(lines, b.String())
	}
	return errors.New(strings.Join(lines, "\npullcard: "))
}

// Unproven is the error where no way back was found that keeps the rules, with what the referee has against the shortest.
type Unproven struct{ Err error }

func (u Unproven) Error() string {
	return "no way back was found that keeps the rules: " + u.Err.Error()
}

func (u Unproven) Unwrap() error { return u.Err }
