package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// newRecovery begins a way back; at is the racket by then, played anew where it is nil.
func newRecovery(p *plan.Plan, done int, t *Trouble, at *plan.Racket) (*recovery, error) {
	switch {
	case done < 0 || done > len(p.Steps):
		return nil, fmt.Errorf("the plan has steps 1 to %d", len(p.Steps))
	case done == len(p.Steps) && t.Ops > 0 || done < len(p.Steps) && t.Ops > len(p.Steps[done].Ops):
		return nil, fmt.Errorf("step %d has not so many ops", done+1)
	}
	f, s, err := recall(&p.Terms)
	if err != nil {
		return nil, err
	}
	h := newPlanner(f, s, ordersOf(&p.Terms))
	h.first, h.printed = p.Terms.FirstFace, p.Terms.PrintedRange
	h.fit = func(of plan.Strand, from plan.Hole) []KnotHole { return KnotHoles(&p.Terms, h.racket, of, from) }
	if at == nil {
		at = p.AfterOps(done, t.Ops)
	}
	h.racket = at.Clone()
	h.recallSeen(p, done)
	switch {
	case h.racket.Cracked():
		return nil, fmt.Errorf("the frame is cracked already and comes off")
	case t.Fault != plan.FaultFrame && dismounting(p, done, t.Ops):
		return nil, fmt.Errorf("supports are loose already; take the frame off, it is strung again as a job of its own")
	}
	r := &recovery{planner: h, wrong: t, terms: &p.Terms}
	r.asKept()
	r.flipped = r.liesFlipped()
	if t.Fault == plan.FaultBreak && t.Choose == plan.Regrip && !(t.outside() && r.pulledLast(h.racket.Span(t.Strand))) {
		return nil, fmt.Errorf("only the strand pulled last can be gripped again, where it broke at the gripper or a jaw, and only while no string leads on from it and no knot ties it")
	}
	if t.Fault == plan.FaultSplit && t.Choose != plan.Sleeve && h.racket.ToBeThreaded(h.racket.At(t.Hole)) {
		return nil, fmt.Errorf("a strand is still to be threaded through %s; a sleeve goes into it, choose=%s", t.Hole, plan.Sleeve)
	}
	if err := t.check(h.racket); err != nil {
		return nil, err
	}
	if k := h.racket.KnotIn(t.Hole); t.Fault == plan.FaultKnot {
		t.Strand, t.Hole = k.Strand, k.Hole
	}
	if g := h.racket.Gripper(); t.Fault == plan.FaultGripper {
		t.Strand = g.Strand
	} else {
		r.stuck = t.Fault == plan.FaultBreak && g != nil && g.Strand == t.Strand
	}
	r.usual()
	if o := t.op(); t.With == "" {
		r.loop = h.racket.Loop(&o)
	}
	return r, nil
}

// liesFlipped says whether crosses lie with over and under exchanged: a layout that was kept since may have asked for that or not.
func (r *recovery) liesFlipped() bool {
	for _, s := range r.racket.Spans() {
		if stray, _ := r.racket.Stray(s.Strand); s.Strand.IsCross() && s.Laid() && stray == "" {
			c := r.chordOf(s.Strand)
			return s.First != faceOf(patterns.Over(c.Number, r.firstMet(c, r.holeOf(s.In).Side)))
		}
	}
	return r.terms.FirstFace != ""
}

// dismounting says whether a support was taken off.
func dismounting(p *plan.Plan, done, ops int) bool {
	off := func(ops []plan.Op) bool {
		return slices.ContainsFunc(ops, func(o plan.Op) bool { return o.Op == plan.Dismount })
	}
	return ops > 0 && off(p.Steps[done].Ops[:ops]) || slices.ContainsFunc(p.Steps[:done], func(s plan.Step) bool { return off(s.Ops) })
}

// recallSeen finds out which steps without string are done, and how the strings are stretched.
func (h *planner) recallSeen(p *plan.Plan, done int) {
	h.seen = map[int]bool{}
	for i := range p.Steps {
		s := &p.Steps[i]
		if i < done {
			h.seen[s.Base] = true
		}
		if strings.HasPrefix(s.Title, mounting) && s.Ops[0].Op == plan.Note {
			h.t.Mount.Mark = s.Ops[0].Text // the note with which mounting begins, also where that was interrupted
		}
		if !strings.HasPrefix(s.Title, prestretch) {
			continue
		}
		which := 0
		if s.Phase == plan.PhaseCrosses {
			which = 1
		}
		for _, o := range s.Ops {
			if _, by, ok := strings.Cut(o.Text, " by "); ok {
				fmt.Sscanf(by, "%g", &h.stretch[which])
			}
		}
	}
}

// usual fills in what the stringer did not choose.
func (r *recovery) usual() {
	if r.wrong.Choose != "" {
		return
	}
	span := r.racket.Span(r.wrong.Strand)
	switch r.wrong.Fault {
	case plan.FaultBreak:
		if r.wrong.outside() && r.pulledLast(span) {
			r.wrong.Choose = plan.Regrip
		}
	case plan.FaultKink:
		if !span.Pulled {
			r.wrong.Choose = plan.Past
		}
	case plan.FaultShort:
		r.wrong.Choose = plan.Bridge
	case plan.FaultTension:
		if r.wrong.Choose = plan.Anew; r.wrong.Extent == plan.High || !PullsAnew(r.racket, r.wrong.Strand) {
			r.wrong.Choose = plan.Undo
		}
	}
}

// pulledLast says whether a strand was pulled last of all, by a tail that is not tied since.
func (r *recovery) pulledLast(s *plan.Span) bool {
	at := r.racket.PulledAt(s.Strand)
	return s.Turn > 0 && s.Turn == r.racket.PullCount() && r.racket.Across(at) == plan.Spot{} && r.racket.KnotOf(at) == nil
}

// chordOf is the chord of a strand that an op names.
func (h *planner) chordOf(name plan.Strand) patterns.Chord {
	for _, c := range append(h.f.Columns(), h.f.Crosses...) {
		if strand(c.Strand) == name {
			return c
		}
	}
	return patterns.Chord{}
}
