package plan

import "strconv"

// Deferral is a strand that was begun and has to be finished later.
type Deferral struct {
	Strand Strand
	Hole   Hole // where it is finished
	Repull bool // it was pulled once; its tail is still to be pulled again and tied
	Step   int  // the step that finishes it
}

// String is "C1 at 7HL, pulled in step 61".
func (d Deferral) String() string {
	what := "pulled"
	if d.Repull {
		what = "pulled again and tied"
	}
	return string(d.Strand) + " at " + string(d.Hole) + ", " + what + " in step " + strconv.Itoa(d.Step)
}

// Deferred lists what is deferred when step n is over: a strand that is tight and whose tail is still to be pulled again, and
// a slack one that is not pulled until another is that was laid in a later step. What the next step pulls is not.
func (p *Plan) Deferred(n int) (out []Deferral) {
	r, laidIn := p.afterSteps(n)
	seen := map[Strand]bool{} // of which the next pull was found
	later := 0                // the latest step in which a strand was laid that is pulled by then
	for _, s := range r.spans {
		if s.Pulled {
			later = max(later, laidIn[s.Strand])
		}
	}
	now := r.Clone()
	for i := n; i < len(p.Steps); i++ {
		o := p.Steps[i].Pull()
		if now.ApplyAll(p.Steps[i].Ops); o == nil || seen[o.Strand] {
			continue
		}
		seen[o.Strand] = true
		s := r.Span(o.Strand)
		if s.Laid() && now.Span(o.Strand).Nth != s.Nth { // it is laid anew before it is pulled
			later = len(p.Steps) + 1
			continue
		}
		tail := o.Repull && s.Tight && r.At(o.Hole) == r.At(s.In) && r.Before(o.Strand) == Spot{}
		if s.Laid() && i > n && (tail || !s.Tight && laidIn[o.Strand] < later) {
			out = append(out, Deferral{o.Strand, o.Hole, tail, p.Steps[i].N})
		}
		if in := laidIn[o.Strand]; s.Laid() {
			later = max(later, in)
		} else {
			later = len(p.Steps) + 1
		}
	}
	return out
}

// afterSteps is the racket when the first n steps are done, and in which of them each strand was laid that lies there.
func (p *Plan) afterSteps(n int) (*Racket, map[Strand]int) {
	r, laidIn := NewRacket(&p.Terms), map[Strand]int{}
	for i := range p.Steps[:n] {
		before := r.laid
		r.ApplyAll(p.Steps[i].Ops)
		for _, s := range r.spans {
			if s.Nth > before {
				laidIn[s.Strand] = i + 1
			}
		}
	}
	return r, laidIn
}
