package run

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// detour is a step to be done once more, and what slipped, empty when that is not known or more than one thing did.
type detour struct {
	step int
	what string
}

// reached says why a step cannot be done again.
func (s State) reached(step int) error {
	switch {
	case step < 1 || step > s.Steps():
		return fmt.Errorf("redo of step %d does not fit: the plan has steps 1 to %d", step, s.Steps())
	case step > s.Last():
		return fmt.Errorf("redo of step %d does not fit: it is not done yet, only up to step %d", step, s.Last())
	}
	return nil
}

func (s State) redo(step int, what string) State {
	next := s
	next.redos = make([]int, s.Steps()+1)
	copy(next.redos, s.redos)
	next.redos[step]++
	at := s.waiting(step)
	switch {
	case step != s.Current():
		next.before = &s
	case at < 0:
		return next // it goes on as planned
	}
	if at >= 0 && s.detours[at].what != what {
		what = ""
	}
	next.detours = slices.DeleteFunc(slices.Clone(s.detours), func(d detour) bool { return d.step == step })
	next.detours = append(append(next.detours, s.lostWith(step, what)...), detour{step, what})
	return next
}

// waiting is the place among the detours of a step that is to be done once more, otherwise less than 0.
func (s State) waiting(step int) int {
	return slices.IndexFunc(s.detours, func(d detour) bool { return d.step == step })
}

// lostWith are the steps to be done again after one of which a clamp slipped: those since then that pulled a tail once
// more, which holds nothing yet but a clamp. What such a pull added may have gone with the slip; to pull there again does
// no harm if it has not.
func (s State) lostWith(step int, what string) (more []detour) {
	for n := s.Last(); n > step && what != Gripper; n-- {
		pull := s.plan.Steps[n-1].Pull()
		if pull != nil && pull.Repull && len(s.ownClamps(n)) > 0 && s.waiting(n) < 0 {
			more = append(more, detour{step: n})
		}
	}
	return more
}

// slipped is the clamp that slipped so that a step is to be done once more, empty when it was none or is not known.
func (s State) slipped(step int) plan.Clamp {
	if at := s.waiting(step); at >= 0 && s.detours[at].what != Gripper {
		return plan.Clamp(s.detours[at].what)
	}
	return ""
}
