package sequence

import (
	"cmp"
	"maps"
	"slices"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// chain are a strand and all that were laid from it, one after the other to the end of the string.
func (r *recovery) chain(first plan.Strand) map[plan.Strand]bool {
	out := map[plan.Strand]bool{first: true}
	for grown := true; grown; {
		grown = false
		for s, before := range r.before {
			if name := strand(s); !out[name] && !before.none() && out[strand(before.strand)] {
				out[name], grown = true, true
			}
		}
	}
	return out
}

// wayBack undoes, the newest first, what was done since the earliest of some strands that are wrong.
func (r *recovery) wayBack(wrong []Trouble) error {
	chain, out := map[plan.Strand]bool{}, map[int]bool{} // by step: whether what it laid comes out too
	for _, t := range wrong {
		maps.Copy(chain, r.chain(t.Strand))
		for _, i := range r.undoable(t) {
			out[i] = out[i] || t.Fault != plan.FaultLate
		}
	}
	if err := r.tieWaiting(chain); err != nil {
		return err
	}
	// What was undone once and is only laid comes out before what was laid before it, whichever was pulled last.
	undo := slices.SortedFunc(maps.Keys(out), func(a, b int) int { return cmp.Compare(r.p.Steps[b].Base, r.p.Steps[a].Base) })
	for _, i := range undo {
		r.undo(i, out[i])
	}
	return nil
}

// undoable are the done steps, by their place in the plan, that have to be undone to get at a strand: those of the
// strands that were laid from it. Of mains every later step is undone where the other side would otherwise run too far
// ahead. After a slip found late only pulls are undone and everything stays laid.
func (r *recovery) undoable(t Trouble) (undo []int) {
	first, late, chain := t.Strand, t.Fault == plan.FaultLate, r.chain(t.Strand)
	in := func(x plan.Strand) bool { return chain[x] }
	seen, both, since := map[int]bool{}, r.bothSides(first), r.madeBy(first, late)
	for i := r.done - 1; i >= 0; i-- {
		s := &r.p.Steps[i]
		if s.Base == 0 || seen[s.Base] || s.Phase == plan.PhaseMount {
			continue
		}
		seen[s.Base] = true
		lays, pulls := r.strandsOf(s.Base)
		counts := r.effective[s.Base] || !late && slices.ContainsFunc(lays, r.isLaid)
		touches := slices.ContainsFunc(pulls, in) || !late && slices.ContainsFunc(lays, in)
		if o := s.Tie(); o != nil {
			touches = chain[o.Strand] && o.Knot != startKnot
		}
		if counts && (touches || both && s.Base >= since) {
			undo = append(undo, i)
		}
	}
	return undo
}

// madeBy is the step of the plan without mishaps that lays a strand or, with late, that pulls it.
func (r *recovery) madeBy(first plan.Strand, late bool) int {
	for i := range r.p.Steps {
		if base := r.p.Steps[i].Base; base > 0 {
			made, pulls := r.strandsOf(base)
			if late {
				made = pulls
			}
			if slices.Contains(made, first) {
				return base
			}
		}
	}
	return 0
}

// bothSides says whether undoing a main on its side alone would let the other side run too far ahead, or leave the
// centre loop without hold.
func (r *recovery) bothSides(first plan.Strand) bool {
	c, _ := r.chordOf(first)
	if c.Kind != patterns.Main {
		return false
	}
	other := 0
	for _, m := range r.f.Mains[c.Side.Other()] {
		if r.tight[m.Strand] {
			other++
		}
	}
	return c.Number == 1 || other-(c.Number-1) > r.p.Terms.Lead
}

// full is a step as it was first written, with everything that it lays.
func (r *recovery) full(base int) *plan.Step {
	for i := range r.p.Steps {
		if r.p.Steps[i].Base == base {
			return &r.p.Steps[i]
		}
	}
	return nil
}

// strandsOf are the strands that a step lays and those that it pulls.
func (r *recovery) strandsOf(base int) (lays, pulls []plan.Strand) {
	s := r.full(base)
	for i := range s.Ops {
		switch o := &s.Ops[i]; o.Op {
		case plan.Thread, plan.Weave:
			lays = append(lays, o.Strand)
		case plan.Pull:
			pulls = append(pulls, o.Strand)
		}
	}
	return lays, pulls
}

func (r *recovery) isLaid(s plan.Strand) bool {
	c, _ := r.chordOf(s)
	_, in := r.exit[c.Strand]
	return in
}

// tieWaiting ties a tail that a clamp holds until its knot is made, unless its strand is undone anyway: the clamp is
// needed to undo crosses. The ties of mains are undone or the string is cut out.
func (r *recovery) tieWaiting(chain map[plan.Strand]bool) error {
	for s := range chain {
		if s[0] == 'M' {
			return nil
		}
	}
	for _, c := range []plan.Clamp{plan.A, plan.B} {
		g, on := r.clamps[c]
		held, _ := r.chordOf(g.Strand)
		if !on || chain[g.Strand] || !r.tails[tail{held.Strand, r.holeOf(g.Hole)}] {
			continue
		}
		for i := r.done; i < len(r.p.Steps); i++ {
			s := &r.p.Steps[i]
			if o := s.Tie(); o != nil && o.Strand == g.Strand && o.Out == g.Hole && s.Base > 0 {
				r.effective[s.Base] = true
				if err := r.again(s); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

// tied says whether one of some steps ties a tail, which is trimmed then.
func (r *recovery) tied(steps []int) bool {
	for _, i := range steps {
		for j := range r.p.Steps[i].Ops {
			if o := &r.p.Steps[i].Ops[j]; o.Op == plan.Tie && o.Knot != startKnot {
				return true
			}
		}
	}
	return false
}

// undo writes the inverse of a done step.
func (r *recovery) undo(index int, out bool) {
	s := &r.p.Steps[index]
	lays, _ := r.strandsOf(s.Base)
	pull := s.Pull()
	if pull != nil {
		if c, _ := r.chordOf(pull.Strand); !r.tight[c.Strand] {
			pull = nil // undone before
		}
	}
	if out = out && slices.ContainsFunc(lays, r.isLaid); pull == nil && !out {
		return
	}
	r.phase = s.Phase
	r.begin("Undo: " + s.Title)
	r.steps[len(r.steps)-1].Undoes = []int{s.Base}
	delete(r.effective, s.Base)
	if pull != nil {
		r.unpull(s, pull, r.p.Steps[index-1].Clamps)
	}
	if out {
		r.unlay(r.full(s.Base))
	}
	r.oldHands.end()
}

// unpull lets the gripper take the load of a pulled strand, puts the clamps back where they stood before, and gives way.
func (r *recovery) unpull(s *plan.Step, pull *plan.Op, before map[plan.Clamp]*plan.Grip) {
	c, _ := r.chordOf(pull.Strand)
	hole := r.holeOf(pull.Hole)
	r.pull(c.Strand, hole, pull.BoostPercent > 0, true)
	for i := range s.Ops {
		o := &s.Ops[i]
		if o.Op == plan.Unclamp && before[o.Clamp] != nil {
			g := before[o.Clamp]
			r.ungrip(o.Clamp)
			back, _ := r.chordOf(g.Strand)
			r.grip(o.Clamp, back.Strand, r.holeOf(g.Hole), g.Outside)
		}
	}
	for i := range s.Ops {
		o := &s.Ops[i]
		if g, on := r.clamps[o.Clamp]; o.Op == plan.Grab && on && g.Strand == o.Strand && g.Hole == o.Hole && o.Strand == pull.Strand && o.Hole == pull.Hole {
			r.ungrip(o.Clamp)
		}
	}
	if pull.Repull { // it was tight before, and what held it then holds it again
		r.release()
		return
	}
	r.op(plan.Op{Op: plan.Slacken, Strand: pull.Strand, Hole: pull.Hole})
	delete(r.tight, c.Strand)
}

// unlay takes the clamps off that a step set on what it laid, and draws that back out.
func (r *recovery) unlay(s *plan.Step) {
	for i := len(s.Ops) - 1; i >= 0; i-- {
		o := &s.Ops[i]
		switch o.Op {
		case plan.Grab:
			c, _ := r.chordOf(o.Strand)
			if g, on := r.clamps[o.Clamp]; on && s.Pull() == nil && g.Strand == o.Strand && g.Hole == o.Hole && !r.tight[c.Strand] {
				r.ungrip(o.Clamp) // what it holds is slack
			}
		case plan.Thread, plan.Weave:
			c, _ := r.chordOf(o.Strand)
			do := plan.Unthread
			if o.Op == plan.Weave {
				do = plan.Unweave
			}
			r.clampsOff(map[plan.Strand]bool{o.Strand: true}) // one set in a step that was undone before
			r.op(plan.Op{Op: do, Strand: o.Strand, From: o.From, To: o.To})
			r.taken(c)
		}
	}
}
