package progress

import (
	"fmt"

	"pullcard/sequence/plan"
)

// Journal is what happened at a job, played once: whoever asks more of it than where it stands asks here.
type Journal struct {
	Events []Event
	// States are where the job stood before each event, and where it stands after the last.
	States []State
	// Stand are the numbers, counted from 1, of the redos and mishaps that count: what back went over since did not happen, and an
	// interruption is none.
	Stand []int
}

// Play plays a job's events from its first plan on. The error is that of Fold.
func Play(p *plan.Plan, events []Event) (j Journal, err error) {
	s, err := Fold(p, nil)
	if err != nil {
		return j, err
	}
	j = Journal{events, append(make([]State, 0, len(events)+1), s), nil}
	var before []int // how many stood before each event that back can take back
	for i, e := range events {
		next, err := s.Apply(e)
		if err != nil {
			return Journal{}, fmt.Errorf("event %d: %w", i+1, err)
		}
		switch {
		case e.Kind == Back:
			last := len(before) - 1
			j.Stand, before = j.Stand[:before[last]], before[:last]
		case next.before != s.before:
			before = append(before, len(j.Stand))
		}
		if e.Kind == Redo || e.Kind == Mishap && e.What != string(plan.FaultPause) {
			j.Stand = append(j.Stand, i+1)
		}
		s = next
		j.States = append(j.States, s)
	}
	return j, nil
}

// Now is where the job stands.
func (j Journal) Now() State { return j.States[len(j.Events)] }
