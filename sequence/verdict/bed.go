package verdict

import (
	"fmt"

	"pullcard/patterns/measure"
	"pullcard/sequence/numbers"
)

// BedOf computes the bed of a job at other tensions than its own, boosts included and without losses. The frequency is 0
// where the job does not tell its string. The error is what numbers.Work.Strung or the planner says.
func BedOf(w numbers.Work) Bed {
	return func(mains, crosses measure.Tension) (stiffness, hz float64, err error) {
		job := *w.Job
		job.Mains, job.Crosses = mains, crosses
		p, err := job.Plan(w.Frame, w.Technique)
		if err != nil {
			return 0, 0, fmt.Errorf("bed at %s: %w", used(mains, crosses), err)
		}
		s, err := numbers.Work{Frame: w.Frame, Technique: w.Technique, Job: &job, Plan: p}.Strung()
		if err != nil {
			return 0, 0, fmt.Errorf("bed at %s: %w", used(mains, crosses), err)
		}
		if s.Assumed == "" {
			hz = s.Figures.Hz[0]
		}
		return float64(s.Figures.Stiffness), hz, nil
	}
}
