package plan

import (
	"fmt"
	"slices"
)

// ApplyAll takes the racket some ops further and stops at the first that is none.
func (r *Racket) ApplyAll(ops []Op) error {
	for i := range ops {
		if err := r.Apply(&ops[i]); err != nil {
			return err
		}
	}
	return nil
}

// Apply takes the racket one op further: this is what each kind of op means. The error says that it is no op, or that it
// names a strand, hole or clamp that is not there; the racket is then as it was.
func (r *Racket) Apply(o *Op) error {
	s, err := r.named(o)
	if err != nil {
		return fmt.Errorf("%s: %w", o.Op, err)
	}
	r.draws = o.Op == Pull || o.Op == Unclamp
	switch o.Op {
	case Mount:
		r.mounted = append(r.mounted, o.Support)
	case Dismount:
		r.mounted = slices.DeleteFunc(r.mounted, func(m string) bool { return m == o.Support })
	case Thread, Weave:
		r.lay(s, o)
	case Pull:
		r.pull(s, o)
	case ClampOn:
		r.clamps[slot(o.Clamp)] = standing{on: true, grip: Grip{o.Strand, o.Hole, o.Outside, o.With}}
	case Unclamp:
		off := r.clamps[slot(o.Clamp)].grip
		r.clamps[slot(o.Clamp)] = standing{}
		if r.gripper != nil {
			r.drawsThrough()
		}
		r.settle(slipped, off.Strand, off.With)
	case Release:
		if at := r.gripper; at != nil {
			r.gripper = nil
			r.settle(slipped, at.Strand)
		}
	case Slacken:
		r.gripper = nil
		var slack []Strand
		r.settle(func(s *Span) {
			undone(s)
			r.forget(s.Strand, FaultLate, FaultTension)
			slack = append(slack, s.Strand)
		})
		r.corners = slices.DeleteFunc(r.corners, func(c Spot) bool { return slices.Contains(slack, c.Strand) }) // nothing is left there to hold
		r.leads()
	case Tie:
		delete(r.scraps, r.At(o.Hole))
		r.knots = append(r.knots, Knot{Strand: o.Strand, Out: o.Out, Hole: o.Hole, Anchor: o.Anchor, Name: o.Knot})
	case Trim:
		if k := r.KnotIn(o.Hole); k != nil {
			k.Trimmed, k.TailMM = true, o.TailMM
		}
	case Untie:
		r.untie(s, o)
	case Unthread, Unweave:
		r.remove(s, false)
		r.forget(o.Strand)
		r.gone(o.Strand)
	case Move:
		r.move(s, o.From, o.To)
		if at, _ := r.Stray(o.Strand); at == "" {
			r.forget(o.Strand, FaultHole)
		}
	case Cut:
		r.remove(s, true)
		r.settle(slipped)
		r.forget(o.Strand)
		r.gone(o.Strand)
	case Waive:
		r.waive(s, o)
	case Fault:
		if o.Fault != FaultPause {
			r.fault(s, o)
			r.slackCorners()
		}
	case Note:
		r.leaveScraps(o.Text)
	case Straighten, Inspect, WalkSlack:
		// Hands and eyes, but no string moves that a holder parts.
	default:
		return fmt.Errorf("plan: no operation is called %q", o.Op)
	}
	return nil
}

// named is the strand of an op, none where it names none, and what it names that is not there.
func (r *Racket) named(o *Op) (int, error) {
	s := none
	if o.Strand != "" {
		i, ok := r.index[o.Strand]
		if !ok {
			return none, fmt.Errorf("the frame has no strand %q", o.Strand)
		}
		s = i
	}
	for _, h := range [5]Hole{o.From, o.To, o.Hole, o.Out} {
		if h != "" && r.At(h) == 0 {
			return s, fmt.Errorf("the frame has no hole %q", h)
		}
	}
	if (o.Op == ClampOn || o.Op == Unclamp) && slot(o.Clamp) < 0 {
		return s, fmt.Errorf("there is no clamp %q", o.Clamp)
	}
	switch o.Op {
	case Thread, Weave, Pull, ClampOn, Tie, Untie, Unthread, Unweave, Move, Cut, Slacken:
		if s == none {
			return s, fmt.Errorf("no strand is named")
		}
	}
	return s, nil
}

// pull takes the string outside a hole.
func (r *Racket) pull(s int, o *Op) {
	span := &r.spans[s]
	mends := span.Slipped
	if o.Repull && (span.Tight || span.ended) && !span.Low && r.At(o.Hole) == r.At(span.In) {
		span.Ended, span.ended = true, true
	}
	if span.Turn > 0 {
		for _, s := range r.SlackBeyond(Spot{o.Strand, o.Hole}) {
			r.spans[r.index[s]].Drawn = true
		}
	}
	r.gripper, r.fresh = &Spot{o.Strand, o.Hole}, true
	for i := range r.spans {
		r.spans[i].since = false
	}
	r.drawsThrough()
	if !o.Repull {
		r.totals.Pulls++
	}
	r.settle(slipped, o.Strand)
	if also, ok := r.index[o.Also]; ok {
		r.loaded(also, o)
	}
	r.loaded(s, o)
	if !mends { // what slipped can only be pulled again from the next holder on
		r.leads()
	}
}

// loaded books a pull on a strand.
func (r *Racket) loaded(s int, o *Op) {
	span := &r.spans[s]
	r.pulls++
	span.Pulled, span.Turn = true, r.pulls
	span.Newtons, span.Tension, span.Boost, span.boostAt = o.Newtons, o.Tension, o.BoostPercent, 0
	if span.Strand == o.Strand {
		span.boostAt = r.At(o.Hole)
	}
}
