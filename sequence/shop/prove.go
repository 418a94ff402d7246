package shop

import (
	"errors"
	"fmt"
	"time"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// takenUp are the events of a job of the book with one more where the way back that it follows was made by the rules of an
// older pullcard and breaks today's in what is still to come: that is made anew from how the racket is. The event is not in
// the book yet.
func takenUp(p *plan.Plan, events []progress.Event, at time.Time) (state progress.State, more []progress.Event, err error) {
	if state, err = progress.Fold(p, events); err != nil {
		return state, nil, err
	}
	followed, done := state.Plan(), state.Last()
	err = sequence.Prove(followed, done)
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

// Mend makes the plan that is followed after something went wrong when the first done steps of a plan were done; what is to come of it is
// proven. Where no way back is that undoes little, the racket is strung anew, so that nobody stands there without a way.
func Mend(p *plan.Plan, done int, t sequence.Trouble) (*plan.Plan, error) {
	return firstProven(p, done, t, sequence.Recover, sequence.StringAnew)
}

type wayBack func(*plan.Plan, int, sequence.Trouble) (*plan.Plan, error)

// firstProven is the first way back that is proven; a mishap that the first of them refuses has none.
func firstProven(p *plan.Plan, done int, t sequence.Trouble, ways ...wayBack) (next *plan.Plan, first error) {
	for _, way := range ways {
		next, err := way(p, done, t)
		if err == nil {
			return next, nil
		}
		if first == nil {
			first = err
		}
		if !errors.As(first, new(sequence.Unproven)) {
			break
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
