package draw

import (
	"maps"
	"slices"

	"pullcard/sequence/plan"
)

// ahead is how many steps after the one in hand the picture warns of holes that will be covered.
const ahead = 2

// play applies what hands did.
func (s *Scene) play(p *plan.Plan, ops []plan.Op) {
	for i := range ops {
		op := &ops[i]
		switch op.Op {
		case plan.Thread, plan.Weave:
			s.lay(op)
		case plan.Pull:
			s.tighten(p, s.span(op.Strand))
		case plan.Tie:
			s.tie(op)
		}
	}
	s.Grips = grip(s.Grips, ops)
}

// grip moves the clamps.
func grip(grips map[plan.Clamp]plan.Grip, ops []plan.Op) map[plan.Clamp]plan.Grip {
	out := maps.Clone(grips)
	for i := range ops {
		switch op := &ops[i]; op.Op {
		case plan.Grab:
			out[op.Clamp] = plan.Grip{Strand: op.Strand, Hole: op.Hole, Outside: op.Outside}
		case plan.Unclamp:
			delete(out, op.Clamp)
		}
	}
	return out
}

// lay puts a strand in, slack, and the run that leads to it. The run begins at that end of the strand before which is
// still open and lies nearest: a piece grows from both of its ends.
func (s *Scene) lay(op *plan.Op) {
	c := s.span(op.Strand)
	if c == nil {
		return
	}
	c.state = slack
	enter := s.end(c, op.From)
	if b := s.span(op.After); b != nil {
		leave := s.open(b, c.ends[enter])
		b.joined[leave], c.joined[enter] = true, true
		s.runs = append(s.runs, run{from: b.ends[leave], to: c.ends[enter], strand: c.name})
	}
}

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
	if c.joined[0] || !c.joined[1] && far(1) < far(0) {
		return 1
	}
	return 0
}

// tighten makes a strand taut, and with it those beside it on the string that the plan never pulls on their own.
func (s *Scene) tighten(p *plan.Plan, c *span) {
	if c == nil {
		return
	}
	c.state = taut
	for _, list := range [][]span{s.mains, s.crosses} {
		for i := range list {
			if b := &list[i]; b.state == slack && s.linked(b, c) && !pulled(p, b.name) {
				b.state = taut
			}
		}
	}
}

func (s *Scene) linked(a, b *span) bool {
	return slices.ContainsFunc(s.runs, func(r run) bool {
		return slices.Contains(a.ends[:], r.from) && slices.Contains(b.ends[:], r.to) ||
			slices.Contains(b.ends[:], r.from) && slices.Contains(a.ends[:], r.to)
	})
}

func pulled(p *plan.Plan, name plan.Strand) bool {
	for i := range p.Steps {
		if op := p.Steps[i].Pull(); op != nil && op.Strand == name {
			return true
		}
	}
	return false
}

// tie makes a knot and the run that leads to it. A starting knot comes before its strand.
func (s *Scene) tie(op *plan.Op) {
	out, hole := s.ring.at(op.Out), s.ring.at(op.Hole)
	if c := s.span(op.Strand); c != nil {
		c.joined[s.end(c, op.Out)] = true
	}
	s.runs = append(s.runs, run{from: out, to: hole, strand: op.Strand})
	s.knots = append(s.knots, knot{hole: hole})
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

// take puts a step in hand: what it lays is there, what it pulls is marked, and clamps are shown before and after.
func (s *Scene) take(p *plan.Plan, current int) {
	step := &p.Steps[current-1]
	runs, knots := len(s.runs), len(s.knots)
	for i := range step.Ops {
		s.takeOp(&step.Ops[i])
	}
	for i := runs; i < len(s.runs); i++ {
		s.runs[i].inHand = true
	}
	for i := knots; i < len(s.knots); i++ {
		s.knots[i].inHand = true
	}
	s.After = grip(s.Grips, step.Ops)
	s.lookAhead(p, current)
}

func (s *Scene) takeOp(op *plan.Op) {
	c := s.span(op.Strand)
	if c == nil {
		return
	}
	switch op.Op {
	case plan.Thread, plan.Weave:
		s.lay(op)
		s.Current, s.Entry, s.Exit = op.Strand, op.From, op.To
	case plan.Pull:
		s.pull = true
		if s.Current != op.Strand || s.Exit != op.Hole {
			s.Current, s.Exit = op.Strand, op.Hole
			s.Entry = s.ring.name(c.ends[1-s.end(c, op.Hole)])
		}
	case plan.Tie:
		s.tie(op)
		if s.Current == "" {
			s.Current, s.Exit = op.Strand, op.Out
		}
	default:
		return
	}
	c.inHand = c.state >= slack
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
			case lays && op.Strand == name:
				own = i
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
