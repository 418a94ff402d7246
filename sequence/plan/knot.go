package plan

import "slices"

// Knot is a tail that is tied in a hole.
type Knot struct {
	Strand  Strand
	Out     Hole // by which the tail leaves, or will enter after a starting knot
	Hole    Hole
	Anchor  Strand
	Name    string
	Trimmed bool
	TailMM  float64 // what trimming left of the tail
	Slipped bool
}

// Knots are the knots that are tied, in the order in which they were.
func (r *Racket) Knots() []Knot { return r.knots }

// KnotIn is the knot in a hole, nil where there is none.
func (r *Racket) KnotIn(h Hole) *Knot {
	place := r.At(h)
	for i := range r.knots {
		if r.At(r.knots[i].Hole) == place {
			return &r.knots[i]
		}
	}
	return nil
}

// KnotOf is the knot of the tail of a strand that leaves at a hole, nil where it has none.
func (r *Racket) KnotOf(at Spot) *Knot {
	for i := range r.knots {
		if k := &r.knots[i]; k.Strand == at.Strand && r.At(k.Out) == r.At(at.Hole) {
			return k
		}
	}
	return nil
}

// untie opens the knot of a tail; what was trimmed is then too short.
func (r *Racket) untie(s int, o *Op) {
	at := Spot{o.Strand, o.Out}
	k := r.KnotOf(at)
	if k == nil {
		return
	}
	trimmed := k.Trimmed
	r.knots = slices.DeleteFunc(r.knots, func(k Knot) bool { return k.Strand == o.Strand && r.At(k.Out) == r.At(o.Out) })
	if l, i := r.lineOf(s); l != nil && trimmed {
		if i == 0 && l.places[0] == r.At(o.Out) {
			l.lack[0] = 1
		} else {
			l.lack[1] = 1
		}
	}
	r.settle(slipped)
}
