package draw

import (
	"math"
	"slices"

	"pullcard/sequence/plan"
)

// ahead is how many steps after the one in hand the picture warns of holes that will be covered.
const ahead = 2

// take puts a step in hand: what it lays is there, what it takes out is there still, what it pulls is marked, and clamps
// are shown before and after. What it does is told by the racket before and after each of its ops.
func (s *Scene) take(r *plan.Racket, p *plan.Plan, current int) {
	step, was := &p.Steps[current-1], r.Clone()
	wrong := step.Mishap() // no clamp moves by that, though its hole may prove to be another
	for i := range step.Ops {
		if &step.Ops[i] == wrong {
			s.After = grips(was)
		}
		is := was.Clone()
		if is.Apply(&step.Ops[i]) != nil {
			break
		}
		s.change(was, is)
		for _, x := range step.Ops[i].Strands { // what hands go along, though nothing of it changes
			s.inHand(x)
		}
		was = is
	}
	for i := range step.Ops {
		if o := &step.Ops[i]; s.Current == "" && s.span(o.Strand) != nil { // a clamp is set, a strand looked at
			s.leave(o.Strand, "")
			s.inHand(o.Strand)
		}
	}
	if wrong == nil || !step.Record {
		s.After = grips(was)
	}
	s.Soon = r.Clone().Step(step)
	s.lookAhead(was, p, current)
}

// change marks what one thing that hands do changes.
func (s *Scene) change(was, is *plan.Racket) {
	for i, x := range is.Spans() {
		before := &was.Spans()[i]
		switch c := s.span(x.Strand); {
		case x.Laid() && x.Nth != before.Nth:
			if c.state == absent {
				c.state = slack
				s.weave(is, c, &x)
			}
			if c.inHand = true; s.Current != "" {
				s.fed = append(s.fed, way{s.Current, s.Entry, s.Exit})
			}
			s.Current, s.Entry, s.Exit = x.Strand, x.In, x.Out
		case !x.Laid() && before.Laid():
			c.inHand = true
			if s.leave(x.Strand, before.In); is.BegunAnew(before.Piece) { // it is cut: nothing of it is drawn out
				s.leave(x.Strand, "")
			}
		}
	}
	before := was.Runs()
	for _, x := range is.Runs() {
		if n := s.run(is, x); !slices.Contains(before, x) {
			n.inHand = true
			s.runs = append(s.runs, n)
		}
	}
	s.tie(was, is)
	if g := is.Gripper(); g != nil && (was.Gripper() == nil || *was.Gripper() != *g) {
		s.grip(is, g)
	}
}

// tie marks the knots that are made or opened.
func (s *Scene) tie(was, is *plan.Racket) {
	for _, k := range is.Knots() {
		if was.KnotIn(k.Hole) == nil {
			s.knots = append(s.knots, knot{hole: s.ring.at(k.Hole), strand: k.Strand, inHand: true})
			s.leave(k.Strand, k.Out)
			s.inHand(k.Strand)
		}
	}
	for _, k := range was.Knots() {
		if is.KnotIn(k.Hole) == nil && is.Laid(k.Strand) == was.Laid(k.Strand) {
			for i := range s.knots {
				s.knots[i].inHand = s.knots[i].inHand || s.knots[i].hole == s.ring.at(k.Hole)
			}
			s.leave(k.Strand, k.Out)
			s.inHand(k.Strand)
		}
	}
}

// grip marks what the gripper takes.
func (s *Scene) grip(is *plan.Racket, g *plan.Spot) {
	s.pull, s.fed = true, nil
	s.inHand(g.Strand)
	ends := s.span(g.Strand).ends
	s.Current, s.Exit, s.Entry = g.Strand, g.Hole, s.ring.name(ends[0])
	if ends[0] == s.ring.at(g.Hole) {
		s.Entry = s.ring.name(ends[1])
	}
}

// inHand marks a strand that lies in the bed.
func (s *Scene) inHand(name plan.Strand) {
	if c := s.span(name); c != nil {
		c.inHand = c.state != absent
	}
}

// leave makes a strand the current one, unless the step has one already, that leaves by a hole.
func (s *Scene) leave(c plan.Strand, out plan.Hole) {
	switch s.Current {
	case "":
		s.Current, s.Exit = c, out
	case c:
		if out == "" {
			s.Exit = ""
		}
	}
}

// lookAhead finds the strand that is laid next and the holes that are about to be covered.
func (s *Scene) lookAhead(r *plan.Racket, p *plan.Plan, current int) {
	mount := p.Steps[current-1].Phase == plan.PhaseMount // there the holes alone are looked at
	for i := range p.Steps[current:] {
		near := i < ahead
		if !near && (mount || s.Next != "") {
			return
		}
		covered := r.Step(&p.Steps[current+i])
		if near && len(s.Soon) == 0 {
			s.Soon = covered
		}
		if s.Next == "" && !mount {
			s.next(r)
		}
	}
}

// next finds the strand that was laid first of those that do not lie in the picture yet.
func (s *Scene) next(r *plan.Racket) {
	first := math.MaxInt
	for _, x := range r.Spans() {
		if c := s.span(x.Strand); c.state == absent && x.Laid() && x.Nth < first {
			first, s.Next = x.Nth, x.Strand
		}
	}
	if c := s.span(s.Next); c != nil {
		c.state = coming
		s.weave(r, c, r.Span(s.Next))
	}
}

// putOff marks the strands that are finished later.
func (s *Scene) putOff(p *plan.Plan, done int) {
	for _, d := range p.Deferred(done) {
		if c := s.span(d.Strand); c != nil && !c.inHand {
			c.deferred = true
			s.Deferred = append(s.Deferred, d)
		}
	}
}
