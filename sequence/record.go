package sequence

import (
	"fmt"

	"pullcard/sequence/plan"
)

// record writes down what was done of the step in hand and what went wrong.
func (r *recovery) record(p *plan.Plan, done int) error {
	title := capital(r.wrong.Words())
	if r.wrong.Ops > 0 {
		title = p.Steps[done].Title + ": " + r.wrong.Words()
	}
	r.open(title)
	r.steps[0].Record = true
	if r.wrong.Ops > 0 {
		r.steps[0].Ops = append(r.steps[0].Ops, p.Steps[done].Ops[:r.wrong.Ops]...) // the racket has them already
	}
	o := r.wrong.op()
	if o.Fault == plan.FaultHole {
		o.From = r.racket.Nearer(o.Strand, o.Hole)
	}
	r.op(o)
	if o.Fault == plan.FaultSwapped && o.Choose != plan.Keep {
		r.exchanged(o.Strand, o.With, r.racket.At(o.Hole))
	}
	r.end()
	r.decided(p, done)
	if r.wrong.Choose == plan.Keep {
		return r.keep(p)
	}
	return nil
}

// exchanged says where the ends of two strands are that were laid in each other's place, so that hands find tails and clamps there; only
// those at the end that the first has at a place, unless that is 0.
func (r *recovery) exchanged(a, b plan.Strand, only int) {
	var found []plan.Op
	ends := r.racket.LiesAt(a)
	for _, of := range [2][2]plan.Strand{{a, b}, {b, a}} {
		s, own := r.racket.Span(of[0]), r.racket.Ends(of[1])
		for end, lies := range r.racket.LiesAt(of[0]) {
			if only > 0 && ends[end] != only {
				continue
			}
			from := s.Out
			if r.racket.At(s.In) == lies {
				from = s.In
			}
			if to := r.racket.HoleAt(own[end]); s.Laid() && own[end] != lies {
				found = append(found, plan.Op{Op: plan.Fault, Fault: plan.FaultHole, Strand: of[0], From: from, Hole: to, Text: fmt.Sprintf("%s is in %s", of[0], to)})
			}
		}
	}
	for _, o := range found {
		r.op(o)
	}
}
