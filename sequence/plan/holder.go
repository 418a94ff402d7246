package plan

import "slices"

// standing is where a clamp stands.
type standing struct {
	on   bool
	grip Grip
	gone bool // it let go: it holds nothing until it is set again
	slip Extent
}

// Grip is where a clamp stands, nil where it is free.
func (r *Racket) Grip(c Clamp) *Grip {
	if s := &r.clamps[slot(c)]; s.on {
		g := s.grip
		return &g
	}
	return nil
}

// Grips are the clamps that stand, by name; of every clamp of the contract, nil for a free one.
func (r *Racket) Grips() map[Clamp]*Grip {
	out := make(map[Clamp]*Grip, len(r.clamps))
	for _, c := range Clamps() {
		out[c] = r.Grip(c)
	}
	return out
}

// Holds says whether a clamp stands and holds what it grips: it has not let go.
func (r *Racket) Holds(c Clamp) bool { s := &r.clamps[slot(c)]; return s.on && !s.gone }

// Slipped is by how much a clamp slipped since it was set, empty when it did not.
func (r *Racket) Slipped(c Clamp) Extent { return r.clamps[slot(c)].slip }

// JawMark says whether the jaws of a clamp slipped at a point of the string: another goes on beside their mark.
func (r *Racket) JawMark(at Spot) bool {
	return slices.ContainsFunc(r.marred, func(m Spot) bool { return r.Same(m, at) })
}

// Same says whether two points of the string are one, by whatever name their hole goes.
func (r *Racket) Same(a, b Spot) bool { return a.Strand == b.Strand && r.At(a.Hole) == r.At(b.Hole) }

// Gripper is where the gripper pulls, nil where it does not.
func (r *Racket) Gripper() *Spot { return r.gripper }

// Pulls says whether the gripper pulls as a pull asks it to and nothing was lost or doubted since.
func (r *Racket) Pulls(o *Op) bool {
	g := r.gripper
	if g == nil || !r.fresh || o.Also != "" || !r.Same(*g, Spot{o.Strand, o.Hole}) {
		return false
	}
	s := r.Span(o.Strand)
	if s.Newtons != o.Newtons || s.Boost != o.BoostPercent || slices.ContainsFunc(r.spans, func(s Span) bool { return s.Low && s.since }) {
		return false
	}
	again := r.Clone()
	again.pull(r.index[o.Strand], o)
	return slices.EqualFunc(r.spans, again.spans, func(a, b Span) bool { return a.Tight == b.Tight && a.Slipped == b.Slipped && a.Low == b.Low })
}

// Held says whether something holds the string at a point.
func (r *Racket) Held(at Spot) bool {
	if l, p := r.lineAt(at); l != nil {
		return r.held(l)[p]
	}
	return false
}

// slot is a clamp's place in the order of Clamps, less than nought for a name that is none.
func slot(c Clamp) int {
	switch c {
	case A:
		return 0
	case B:
		return 1
	case S:
		return 2
	}
	return -1
}

// CanComeOff says whether a clamp can come off with all that is tight staying so; a free one can. It is not left to the corners at which it
// stands to hold in its place.
func (r *Racket) CanComeOff(c Clamp) bool {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return true
	}
	corners := r.corners
	r.clamps[i].gone, r.corners = true, slices.DeleteFunc(slices.Clone(corners), func(at Spot) bool {
		return slices.ContainsFunc(r.points(r.clamps[i].grip), func(p Spot) bool { return r.Same(p, at) })
	})
	defer func() { r.clamps[i].gone, r.corners = false, corners }()
	ok := true
	for _, at := range r.points(r.clamps[i].grip) {
		if l, _ := r.lineAt(at); ok && l != nil {
			r.cells(l, func(lo, hi int, tight, _ bool) bool {
				ok = tight || !slices.Contains(l.tight[lo:hi+1], true)
				return ok
			})
		}
	}
	return ok
}

// MayHoldTension says whether tension may still hang in string beside a clamp, although what held it is gone. What went slack by itself
// gives up what its corners and the strands that it is woven through keep only where it is cut: so it hangs unless it ends, is
// parted or is held at the far hole of the strand beside the clamp.
func (r *Racket) MayHoldTension(c Clamp) bool {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return false
	}
	for _, at := range r.points(r.clamps[i].grip) {
		l, p := r.lineAt(at)
		if l == nil {
			continue
		}
		held := r.held(l)
		inside := p ^ 1 // the other point of the span, from which the string goes on inside
		outside := p + p - inside
		if r.hangs(l, inside, p-inside, held) || outside >= 0 && outside < len(held) && r.hangs(l, outside^1, outside-(outside^1), held) {
			return true
		}
	}
	return false
}

// hangs says whether tension may hang in the span that ends at a point of a line; back leads to its other end.
func (r *Racket) hangs(l *line, far, back int, held []bool) bool {
	s := &r.spans[l.on[far/2]]
	next := far - back
	if !s.Pulled || s.Tight || s.Broken || next < 0 || next >= len(l.on)*2 || held[far] {
		return false
	}
	return !r.spans[l.on[next/2]].Broken
}

// points are where a clamp holds the string.
func (r *Racket) points(g Grip) []Spot {
	if g.With == "" {
		return []Spot{{g.Strand, g.Hole}}
	}
	return []Spot{{g.Strand, g.Hole}, r.Beside(g)}
}

// Behind are the strands whose tension a clamp holds, from it back to the next holder, in that order; none where it is free,
// let go, holds nothing tight, or stands between two tight stretches.
func (r *Racket) Behind(c Clamp) []Strand {
	i := slot(c)
	if !r.clamps[i].on || r.clamps[i].gone {
		return nil
	}
	r.clamps[i].gone = true
	defer func() { r.clamps[i].gone = false }()
	var out []Strand
	for _, at := range r.points(r.clamps[i].grip) {
		for _, s := range r.unheld(at) {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// unheld are the tight strands of the line of a point that nothing would hold, from there on.
func (r *Racket) unheld(from Spot) (out []Strand) {
	l, p := r.lineAt(from)
	if l == nil {
		return nil
	}
	gone := make([]bool, len(l.on))
	r.cells(l, func(lo, hi int, tight, _ bool) bool {
		for seg := lo | 1; seg <= hi; seg += 2 {
			gone[seg/2] = !tight && l.tight[seg]
		}
		return true
	})
	for d := range len(l.on) {
		for _, i := range [2]int{p/2 - d, p/2 + d} {
			if i >= 0 && i < len(l.on) && gone[i] {
				gone[i] = false
				out = append(out, r.strands[l.on[i]])
			}
		}
	}
	return out
}
