package draw

import (
	"slices"

	"pullcard/sequence/plan"
)

// undo applies what hands take back.
func (s *Scene) undo(c *span, op *plan.Op) {
	switch op.Op {
	case plan.Untie:
		out, hole := s.ring.at(op.Out), s.ring.at(op.Hole)
		s.runs = slices.DeleteFunc(s.runs, func(r run) bool { return r.tail && r.strand == c.name && r.from == out })
		s.knots = slices.DeleteFunc(s.knots, func(k knot) bool { return k.strand == c.name && k.hole == hole })
	case plan.Cut:
		s.loosen(c.piece)
		s.remove(c)
		s.runs = slices.DeleteFunc(s.runs, func(r run) bool { return r.tail && r.strand == c.name })
		s.knots = slices.DeleteFunc(s.knots, func(k knot) bool { return k.strand == c.name })
	default:
		s.remove(c)
	}
}

// remove takes a strand out, and the runs that lead to it and on from it. A starting knot stays.
func (s *Scene) remove(c *span) {
	c.state, c.piece = absent, ""
	s.runs = slices.DeleteFunc(s.runs, func(r run) bool { return !r.tail && (r.strand == c.name || r.after == c.name) })
}

// loosen takes all tension from a piece of string.
func (s *Scene) loosen(piece plan.Piece) {
	for _, list := range [][]span{s.mains, s.crosses} {
		for i := range list {
			if list[i].piece == piece && list[i].state == taut {
				list[i].state = slack
			}
		}
	}
}

// fault applies what a mishap does to the string.
func (s *Scene) fault(op *plan.Op) {
	c := s.span(op.Strand)
	switch {
	case op.Fault == plan.FaultClamp:
		s.slip(op.Clamp)
	case c == nil:
	case op.Fault == plan.FaultBreak:
		s.loosen(c.piece)
	case op.Fault == plan.FaultKnot:
		for _, r := range s.runs {
			if r.tail && r.strand == c.name && r.to == s.ring.at(op.Hole) {
				s.follow(c, s.endAt(c, r.from), slack)
			}
		}
	}
}

// slip makes the string slack from where a clamp stands back to the next hold. The clamp itself holds nothing then.
func (s *Scene) slip(name plan.Clamp) {
	g, ok := s.Grips[name]
	c := s.span(g.Strand)
	if !ok || c == nil {
		return
	}
	delete(s.Grips, name)
	s.follow(c, s.end(c, g.Hole), slack)
	s.Grips[name] = g
}
