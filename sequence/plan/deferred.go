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
// a slack one whose pull comes after that of a strand laid later.
func (p *Plan) Deferred(n int) (out []Deferral) {
	r := p.After(n)
	latest := 0 // of the strands pulled until then, the laying of the latest
	gone := map[Strand]bool{}
	for i := range p.Steps[n:] {
		for _, o := range p.Steps[n+i].Ops {
			if o.Op == Unthread || o.Op == Unweave || o.Op == Cut {
				gone[o.Strand] = true // it is laid anew before it is pulled
			}
		}
		o := p.Steps[n+i].Pull()
		if o == nil || gone[o.Strand] {
			continue
		}
		s := r.Span(o.Strand)
		tail := o.Repull && s.Tight && r.At(o.Hole) == r.At(s.In) && r.Before(o.Strand) == Spot{}
		if s.Laid() && (tail || !s.Tight && s.Nth < latest) {
			out = append(out, Deferral{o.Strand, o.Hole, tail, p.Steps[n+i].N})
		}
		if latest = max(latest, s.Nth); !s.Laid() {
			latest = r.laid + 1
		}
	}
	return out
}
