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
