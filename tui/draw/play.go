package draw

import (
	"maps"
	"slices"

	"pullcard/sequence/plan"
)

// ahead is how many steps after the one in hand the picture warns of holes that will be covered.
const ahead = 2

// play applies what hands did, and what went wrong.
func (s *Scene) play(ops []plan.Op) {
	for i := range ops {
		op := &ops[i]
		switch c := s.span(op.Strand); {
		case op.Op == plan.Fault:
			s.fault(op)
		case c == nil:
		case op.Op == plan.Thread || op.Op == plan.Weave:
			s.lay(c, op)
		case op.Op == plan.Pull:
			s.follow(c, s.end(c, op.Hole), taut)
		case op.Op == plan.Slacken:
			s.follow(c, s.end(c, op.Hole), slack)
		case op.Op == plan.Tie:
			s.tie(op)
		case op.Op == plan.Unthread || op.Op == plan.Unweave || op.Op == plan.Untie || op.Op == plan.Cut:
			s.undo(c, op)
		}
		grip(s.Grips, op)
	}
}

// grip moves a clamp.
func grip(grips map[plan.Clamp]plan.Grip, op *plan.Op) {
	switch op.Op {
	case plan.Grab:
		grips[op.Clamp] = plan.Grip{Strand: op.Strand, Hole: op.Hole, Outside: op.Outside}
	case plan.Unclamp:
		delete(grips, op.Clamp)
	}
}

// lay puts a strand in, slack, and the run that leads to it. The run begins at that end of the strand before which is
// still open and lies nearest: a piece grows from both of its ends.
func (s *Scene) lay(c *span, op *plan.Op) {
	c.state, c.piece = slack, op.Piece
	if b := s.span(op.After); b != nil {
		to := c.ends[s.end(c, op.From)]
		s.runs = append(s.runs, run{from: b.ends[s.open(b, to)], to: to, after: b.name, strand: c.name})
	}
}

// end is the end of a strand at a hole.
func (s *Scene) end(c *span, h plan.Hole) int {
	if s.ring.at(h) == c.ends[1] {
		return 1
	}
	return 0
}

func (s *Scene) open(c *span, near int) int {
	far := func(i int) int {
		d := s.ring.steps(c.ends[i], near)
		return max(d, -d)
	}
	if s.joined(c, 0) || !s.joined(c, 1) && far(1) < far(0) {
		return 1
	}
	return 0
}

// joined says whether a run leads on from an end of a strand.
func (s *Scene) joined(c *span, end int) bool {
	return slices.ContainsFunc(s.runs, func(r run) bool { return r.leaves(c, end) })
}

// leaves says whether the run leads on from an end of a strand.
func (r *run) leaves(c *span, end int) bool {
	place := c.ends[end]
	if r.tail {
		return r.strand == c.name && r.from == place
	}
	return r.strand == c.name && r.to == place || r.after == c.name && r.from == place
}

// beyond is the strand that a run leads to from an end of another, and by which end it comes there; nil at a knot and
// at an open end.
func (s *Scene) beyond(c *span, end int) (*span, int) {
	for i := range s.runs {
		switch r := &s.runs[i]; {
		case r.tail || !r.leaves(c, end):
		case r.strand == c.name:
			b := s.span(r.after)
			return b, s.endAt(b, r.from)
		default:
			b := s.span(r.strand)
			return b, s.endAt(b, r.to)
		}
	}
	return nil, 0
}

func (s *Scene) endAt(c *span, place int) int {
	if c.ends[1] == place {
		return 1
	}
	return 0
}

// follow goes along the string from an end of a strand back to the next clamp or knot and makes what it passes taut or
// slack: this is how far a pull or a slip reaches.
func (s *Scene) follow(c *span, end int, to state) {
	for range len(s.mains) + len(s.crosses) {
		if c == nil || c.state < slack || s.gripped(c, end) {
			return
		}
		c.state = to
		if s.gripped(c, 1-end) {
			return
		}
		c, end = s.beyond(c, 1-end)
	}
}

// gripped says whether a clamp holds a strand at an end.
func (s *Scene) gripped(c *span, end int) bool {
	for _, g := range s.Grips {
		if g.Strand == c.name && s.end(c, g.Hole) == end {
			return true
		}
	}
	return false
}

// tie makes a knot and the run that leads to it. A starting knot comes before its strand.
func (s *Scene) tie(op *plan.Op) {
	out, hole := s.ring.at(op.Out), s.ring.at(op.Hole)
	s.runs = append(s.runs, run{from: out, to: hole, strand: op.Strand, tail: true})
	s.knots = append(s.knots, knot{hole: hole, strand: op.Strand})
}

// blocked finds the holes under outside runs for which a strand is still missing.
func (s *Scene) blocked() {
	for place := 1; place <= s.ring.total(); place++ {
		if s.waits(place) && slices.ContainsFunc(s.runs, func(r run) bool {
			return slices.Contains(s.ring.between(r.from, r.to), place)
		}) {
			s.Blocked = append(s.Blocked, s.ring.name(place))
		}
	}
}

// waits says whether a strand that is not laid yet ends at a place.
func (s *Scene) waits(place int) bool {
	for _, list := range [][]span{s.mains, s.crosses} {
		for i := range list {
			if list[i].state < slack && slices.Contains(list[i].ends[:], place) {
				return true
			}
		}
	}
	return false
}

// take puts a step in hand: what it lays is there, what it takes out is there still, what it pulls is marked, and clamps
// are shown before and after.
func (s *Scene) take(p *plan.Plan, current int) {
	step := &p.Steps[current-1]
	s.After = maps.Clone(s.Grips)
	for i := range step.Ops {
		op := &step.Ops[i]
		if c := s.span(op.Strand); c != nil {
			s.takeOp(c, op)
		}
		grip(s.After, op)
	}
	s.lookAhead(p, current)
}

func (s *Scene) takeOp(c *span, op *plan.Op) {
	switch op.Op {
	case plan.Thread, plan.Weave:
		runs := len(s.runs)
		s.lay(c, op)
		s.hold(runs)
		s.Current, s.Entry, s.Exit = op.Strand, op.From, op.To
	case plan.Pull, plan.Slacken:
		s.pull = true
		if s.Current != op.Strand || s.Exit != op.Hole {
			s.Current, s.Exit = op.Strand, op.Hole
			s.Entry = s.ring.name(c.ends[1-s.end(c, op.Hole)])
		}
	case plan.Tie:
		runs := len(s.runs)
		s.tie(op)
		s.hold(runs)
		s.knots[len(s.knots)-1].inHand = true
		s.leave(op.Strand, op.Out)
	case plan.Untie:
		for i := range s.knots {
			s.knots[i].inHand = s.knots[i].inHand || s.knots[i].strand == op.Strand && s.knots[i].hole == s.ring.at(op.Hole)
		}
		s.leave(op.Strand, op.Out)
	case plan.Unthread, plan.Unweave:
		s.leave(op.Strand, op.From)
	case plan.Cut, plan.Fault:
		s.leave(op.Strand, "")
	default:
		return
	}
	c.inHand = c.state >= slack
}

// hold takes the runs from the n-th on in hand.
func (s *Scene) hold(n int) {
	for i := n; i < len(s.runs); i++ {
		s.runs[i].inHand = true
	}
}

// leave makes a strand the current one, unless the step has one already, that leaves by a hole.
func (s *Scene) leave(c plan.Strand, out plan.Hole) {
	if s.Current == "" {
		s.Current, s.Exit = c, out
	}
}

// lookAhead finds the strand that is laid next and the holes that are about to be covered.
func (s *Scene) lookAhead(p *plan.Plan, current int) {
	for i := current - 1; i < len(p.Steps); i++ {
		for j := range p.Steps[i].Ops {
			op := &p.Steps[i].Ops[j]
			if i < current+ahead && len(s.Soon) == 0 {
				s.Soon = append(s.Soon, op.Covers...)
			}
			if c := s.span(op.Strand); s.Next == "" && c != nil && c.state == absent && (op.Op == plan.Thread || op.Op == plan.Weave) {
				s.Next, c.state = op.Strand, coming
			}
		}
	}
}

// putOff finds the strands whose next pull waits until strands laid later have had theirs.
func (s *Scene) putOff(p *plan.Plan, done int) {
	for _, list := range [][]span{s.crosses, s.mains} {
		for i := range list {
			c := &list[i]
			if c.state >= slack && !c.inHand && laterFirst(p, done, c.name) {
				c.deferred = true
				s.Deferred = append(s.Deferred, c.name)
			}
		}
	}
}

// laterFirst says whether, before the next pull of a strand, another is pulled that was laid in a later step.
func laterFirst(p *plan.Plan, done int, name plan.Strand) bool {
	after, own, early := map[plan.Strand]bool{}, -1, false
	for i := range p.Steps {
		for j := range p.Steps[i].Ops {
			op := &p.Steps[i].Ops[j]
			lays := op.Op == plan.Thread || op.Op == plan.Weave
			switch {
			case lays && op.Strand == name: // again after a mishap: all that came before does not count
				own, early = i, false
				clear(after)
			case lays && own >= 0 && i > own:
				after[op.Strand] = true
			case op.Op == plan.Pull && op.Strand == name && i >= done:
				return early
			case op.Op == plan.Pull && after[op.Strand]:
				early = true
			}
		}
	}
	return false
}
