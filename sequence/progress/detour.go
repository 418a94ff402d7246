package progress

import (
	"fmt"
	"slices"
)

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

// redo counts a slip. One that takes other steps brings their plan; otherwise the current step is simply done again. One of
// an earlier step without a plan, which older books have, opens a detour.
func (s State) redo(e Event) State {
	next := s.counted(e.Step)
	switch {
	case e.Plan != nil:
		return s.mishap(e.Plan).counted(e.Step)
	case e.Step == s.Current() && !slices.Contains(s.detours, e.Step):
		return next // it goes on as planned
	case e.Step != s.Current():
		next.before = &s
	}
	next.detours = slices.DeleteFunc(slices.Clone(s.detours), func(step int) bool { return step == e.Step })
	next.detours = append(next.detours, e.Step)
	return next
}

// counted is the state with a redo of a step more.
func (s State) counted(step int) State {
	next := s
	next.redos = make([]int, max(s.Steps()+1, step+1, len(s.redos)))
	copy(next.redos, s.redos)
	next.redos[step]++
	return next
}
