package shop

import (
	"errors"
	"fmt"
	"strings"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// Prove lets the referee play a plan. The error says what rule it breaks where, which is a fault of pullcard.
func Prove(p *plan.Plan) error {
	breaches := referee.Check(p)
	if len(breaches) == 0 {
		return nil
	}
	lines := []string{"this plan does not keep the rules, so it is not shown; that is a fault of pullcard, please report it with the job, layout and technique files"}
	for _, b := range breaches {
		lines = append(lines, b.String())
	}
	return errors.New(strings.Join(lines, "\npullcard: "))
}

// Mend makes the plan that is followed after something went wrong when the first done steps of a plan were done, and proves
// it from the first step on.
func Mend(p *plan.Plan, done int, t sequence.Trouble) (*plan.Plan, error) {
	next, err := sequence.Recover(p, done, t)
	if err != nil {
		return nil, err
	}
	if err := Prove(next); err != nil {
		return nil, fmt.Errorf("no way back was found that keeps the rules: %w", err)
	}
	return next, nil
}

// MendAll is a plan with what went wrong and the ways back in it, mishap upon mishap, each as sequence.ParseTrouble reads it. The
// error names the mishap.
func MendAll(p *plan.Plan, mishaps []string) (*plan.Plan, error) {
	for _, text := range mishaps {
		done, trouble, err := sequence.ParseTrouble(text)
		if err == nil {
			p, err = Mend(p, done, trouble)
		}
		if err != nil {
			return nil, fmt.Errorf("%q: %w", text, err)
		}
	}
	return p, nil
}
