package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// keep writes down that what lies wrong stays as it is. A strand in a wrong hole makes another layout of the frame, by which the rest
// is strung. Where there is none such, only what is tied at both ends can stay.
func (r *recovery) keep(p *plan.Plan) (err error) {
	r.card(capital(r.wrong.Words())+": it stays", func() {
		for _, o := range slices.Clone(r.racket.Open()) {
			again := !slices.ContainsFunc(r.racket.Open(), func(x plan.Op) bool { return x.Text == o.Text && x.Strand == o.Strand })
			if o.Text != r.wrong.Words() || r.lost(o.Strand) || again {
				continue
			}
			w := plan.Op{Op: plan.Waive, Strand: o.Strand, Fault: o.Fault, Text: "left as it is: " + o.Text}
			if o.Fault == plan.FaultHole {
				if err = r.relaid(o); err == nil {
					w.From, w.To = r.racket.OwnHole(o.Strand, o.Hole), o.Hole
					w.Text += r.layout(p, w)
				} else if r.tied(o.Strand) {
					err = nil
				}
			}
			r.op(w)
			r.asKept()
		}
	})
	return err
}

// lost says whether a strand is cut out anyway: its piece is lost, or the mains into which it is woven.
func (r *recovery) lost(s plan.Strand) bool {
	return r.racket.Lost(r.pieceOf(s)) || r.racket.Lost(plan.PieceMains)
}

// layout names the layout with a strand kept in a wrong hole, and gives its fingerprint.
func (r *recovery) layout(p *plan.Plan, w plan.Op) string {
	is := r.racket.Clone()
	is.Apply(&w)
	return fmt.Sprintf("; the layout is now %q, fingerprint %s", p.LayoutName(is), is.LayoutFingerprint(r.terms))
}

// decided writes down anew what was to be left as it is in the step in hand, and in those after it, when something else went wrong.
func (r *recovery) decided(p *plan.Plan, done int) {
	from := r.wrong.Ops
	for _, s := range p.Steps[done:] {
		if slices.ContainsFunc(s.Ops, func(o plan.Op) bool { return o.Op != plan.Waive }) {
			return
		}
		r.card(s.Title, func() {
			for _, o := range s.Ops[from:] {
				if !r.racket.Cracked() && !r.lost(o.Strand) {
					r.op(o)
				}
			}
			r.asKept()
		})
		from = 0
	}
}

// relaid says why there is no layout with a strand in the wrong hole where it is, nil where there is one.
func (r *recovery) relaid(o plan.Op) error {
	c := r.chordOf(o.Strand)
	from, to := r.holeOf(r.racket.OwnHole(o.Strand, o.Hole)), r.holeOf(o.Hole)
	next, err := r.f.Relaid(c.Strand, from, to)
	if err != nil {
		return fmt.Errorf("it cannot stay there: %w; put it right", err)
	}
	now := c
	for i := range now.Ends {
		if now.Ends[i] == from {
			now.Ends[i] = to
		}
	}
	for _, x := range r.laidOf(func(s plan.Span) bool { return s.Strand.IsMain() != o.Strand.IsMain() }) {
		if other := r.chordOf(x.Strand); r.f.Interleaves(c, other) != next.Interleaves(now, other) {
			return fmt.Errorf("it cannot stay there: %s is woven otherwise; put it right", x.Strand)
		}
	}
	return nil
}

// tied says whether the line of a strand is tied at both ends.
func (r *recovery) tied(s plan.Strand) bool {
	return slices.ContainsFunc(r.racket.Courses(), func(c plan.Course) bool {
		return c.Tied == [2]bool{true, true} && slices.ContainsFunc(c.Spans, func(x plan.Stretch) bool { return x.Strand == s })
	})
}

// asKept lets the frame have the strands in the holes in which they were kept.
func (r *recovery) asKept() {
	for _, list := range append(r.f.Mains[:], r.f.Crosses) {
		for i := range list {
			for end, place := range r.racket.Ends(strand(list[i].Strand)) {
				list[i].Ends[end] = r.holeAt(place)
			}
		}
	}
	r.nameHoles()
}
