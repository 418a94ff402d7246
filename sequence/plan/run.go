package plan

import "slices"

// Run is string outside the frame between two holes: from a strand to the next, or to the knot of its own tail.
type Run struct {
	From, To Hole
	Of, Next Strand // Next is empty at a knot
}

// Runs are the runs outside the frame as they lie: along each line, then those of knots.
func (r *Racket) Runs() (out []Run) {
	for _, l := range r.lines {
		for k := 1; k < len(l.on); k++ {
			a, b := l.on[k-1], l.on[k]
			out = append(out, Run{r.hole(a, l.places[2*k-1]), r.hole(b, l.places[2*k]), r.strands[a], r.strands[b]})
		}
	}
	for _, k := range r.knots {
		out = append(out, Run{From: k.Out, To: k.Hole, Of: k.Strand})
	}
	return out
}

// hole is the hole of a laid strand at a place, as its op named it.
func (r *Racket) hole(s, place int) Hole {
	if in := r.spans[s].In; r.At(in) == place {
		return in
	}
	return r.spans[s].Out
}

// Blocked says whether a run outside lies over a place.
func (r *Racket) Blocked(place int) bool {
	for _, l := range r.lines {
		for k := 1; k < len(l.on); k++ {
			if r.over(l.places[2*k-1], l.places[2*k], place) {
				return true
			}
		}
	}
	return slices.ContainsFunc(r.knots, func(k Knot) bool { return r.over(r.At(k.Out), r.At(k.Hole), place) })
}

// Covered are the places still to be threaded strictly between two places of one side.
func (r *Racket) Covered(from, to int) (out []int) {
	for _, p := range r.Between(from, to) {
		if r.ToBeThreaded(p) {
			out = append(out, p)
		}
	}
	return out
}

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
