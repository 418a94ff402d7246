package shop

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/referee"
)

// Prove lets the referee play a plan, and asks it after each step whether the racket is as the screens would show it. The error says
// what rules the plan breaks where, or what would be shown otherwise, which is a fault of pullcard.
func Prove(p *plan.Plan) error { return proveFrom(p, 0) }

// proveFrom is likewise of what is still to come of a plan of which the first done steps are done: they are as they are.
func proveFrom(p *plan.Plan, done int) error {
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

// takenUp are the events of a job of the book with one more where the way back that it follows was made by the rules of an
// older pullcard and breaks today's in what is still to come: that is made anew from how the racket is. The event is not in
// the book yet.
func takenUp(p *plan.Plan, events []progress.Event, at time.Time) (state progress.State, more []progress.Event, err error) {
	if state, err = progress.Fold(p, events); err != nil {
		return state, nil, err
	}
	followed, done := state.Plan(), state.Last()
	err = proveFrom(followed, done)
	if err == nil || followed == p || state.Detour() || state.Status() != progress.Open {
		return state, nil, err
	}
	onward := func(p *plan.Plan, done int, _ sequence.Trouble) (*plan.Plan, error) { return sequence.GoOn(p, done) }
	next, again := firstProven(followed, done, sequence.Trouble{}, onward, sequence.StringAnew)
	if again != nil {
		return state, nil, err
	}
	e := progress.Event{At: at, Kind: progress.Mishap, Step: state.Current(), Plan: next, Why: "the way back was made by older rules; it is made anew from here"}
	state, err = state.Apply(e)
	return state, []progress.Event{e}, err
}

// Mend makes the plan that is followed after something went wrong when the first done steps of a plan were done, and proves
// what is to come of it: what is done is as it is, and may have been done by a way back of older rules. Where the way back that undoes
// least is not proven, the racket is strung anew, so that nobody stands there without a way.
func Mend(p *plan.Plan, done int, t sequence.Trouble) (*plan.Plan, error) {
	return firstProven(p, done, t, sequence.Recover, sequence.StringAnew)
}

type wayBack func(*plan.Plan, int, sequence.Trouble) (*plan.Plan, error)

// firstProven is the first way back that is proven; a mishap that the first of them refuses has none.
func firstProven(p *plan.Plan, done int, t sequence.Trouble, ways ...wayBack) (*plan.Plan, error) {
	var first error
	for i, way := range ways {
		next, err := way(p, done, t)
		if err != nil && i == 0 {
			return nil, err
		}
		if err == nil {
			err = proveFrom(next, done)
		}
		if err == nil {
			return next, nil
		}
		if first == nil {
			first = fmt.Errorf("no way back was found that keeps the rules: %w", err)
		}
	}
	return nil, first
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
