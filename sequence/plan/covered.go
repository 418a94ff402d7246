package plan

import "slices"

// Step takes the racket a step further and says which holes that are still to be threaded then lie under the runs outside
// that the step laid.
func (r *Racket) Step(s *Step) (covered []Hole) {
	before := r.Runs()
	r.ApplyAll(s.Ops)
	for _, run := range r.Runs() {
		if slices.Contains(before, run) {
			continue
		}
		for _, place := range r.Covered(r.At(run.From), r.At(run.To)) {
			if h := r.HoleAt(place); !slices.Contains(covered, h) {
				covered = append(covered, h)
			}
		}
	}
	return covered
}
