package sequence

import (
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Recover makes the plan that is followed after something went wrong when the first done steps of a plan were done: the
// same done steps, the steps that put things right, and whatever is then still, or once more, to be done. What is in
// the gripper and not clamped yet counts as not done. What went wrong before and is not put right by the done steps is
// put right with it.
func Recover(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	h, err := after(p, done)
	if err != nil {
		return nil, err
	}
	if p.Cracked() {
		return nil, fmt.Errorf("%s: the frame is cracked already and comes off", t.Text)
	}
	if cutting(p, done) && t.Fault != plan.FaultFrame {
		return nil, fmt.Errorf("%s: string is being cut out; finish that first", t.Text)
	}
	r := &recovery{oldHands: h, p: p, done: done, effective: effective(p, done)}
	if err := r.mend(t); err != nil {
		return nil, fmt.Errorf("%s: %w", t.Text, err)
	}
	if t.Fault == plan.FaultFrame {
		r.takeOff()
	} else if err := r.goOn(); err != nil {
		return nil, asProblems(err)
	}
	next := *p
	next.Steps = append(slices.Clone(p.Steps[:done:done]), r.steps...)
	for i := range next.Steps {
		next.Steps[i].N = i + 1
	}
	next.Totals = recount(next.Steps, len(h.knots))
	next.Plan = next.Fingerprint()
	return &next, nil
}

// recount counts the pulls of steps, with those that were undone and done again, and the most by which a side of the mains
// ever ran ahead.
func recount(steps []plan.Step, knots int) plan.Totals {
	n := plan.Totals{Knots: knots}
	tight := map[plan.Strand]bool{}
	var pulled [2]int
	count := func(s plan.Strand, on bool) {
		if s == "" || s[0] != 'M' || tight[s] == on {
			return
		}
		side, by := 0, 1
		if s[len(s)-1] == 'R' {
			side = 1
		}
		if tight[s] = on; !on {
			by = -1
		}
		pulled[side] += by
	}
	for i := range steps {
		for j := range steps[i].Ops {
			switch o := &steps[i].Ops[j]; o.Op {
			case plan.Pull:
				if !o.Repull {
					n.Pulls++
				}
				count(o.Strand, true)
				n.MaxLead = max(n.MaxLead, pulled[0]-pulled[1], pulled[1]-pulled[0])
			case plan.Slacken, plan.Cut:
				count(o.Strand, false)
			}
		}
	}
	return n
}

// cutting says whether string is still to be cut out before the work goes on.
func cutting(p *plan.Plan, done int) bool {
	for i := done; i < len(p.Steps) && p.Steps[i].Base == 0; i++ {
		for j := range p.Steps[i].Ops {
			if p.Steps[i].Ops[j].Op == plan.Cut {
				return true
			}
		}
	}
	return false
}

// after is what hands know when the first done steps of a plan are done.
func after(p *plan.Plan, done int) (*oldHands, error) {
	f, t, err := recall(&p.Terms)
	if err != nil {
		return nil, err
	}
	h := newOldHands(f, t, orders{p.Terms.PullMains, p.Terms.PullCrosses})
	h.phase = plan.PhaseMount
	for i := range p.Steps[:done] {
		h.replay(&p.Steps[i])
	}
	return h, nil
}

// effective are the steps of the plan without mishaps that are done and were not undone, by their numbers there.
func effective(p *plan.Plan, done int) map[int]bool {
	out := map[int]bool{}
	for i := range p.Steps[:done] {
		s := &p.Steps[i]
		if s.Base > 0 {
			out[s.Base] = true
		}
		for _, n := range s.Undoes {
			delete(out, n)
		}
	}
	return out
}

// recovery writes the steps that put things right.
type recovery struct {
	*oldHands
	p         *plan.Plan
	done      int
	effective map[int]bool
}

// mend writes the steps that put a mishap right, and with it those before that are not put right yet.
func (r *recovery) mend(t Trouble) error {
	if _, ok := r.chordOf(t.Strand); !ok && t.Fault != plan.FaultSplit && t.Fault != plan.FaultFrame {
		return fmt.Errorf("the frame has no strand %q", t.Strand)
	}
	r.begin(capital(t.Text))
	for _, o := range append(untold(r.p, r.done), t.op()) {
		r.fault(&o)
		r.op(o)
	}
	r.lookAgain()
	out, why, err := r.lost(t)
	if err != nil {
		return err
	}
	if why != "" {
		r.note(why)
	}
	var wrong []Trouble
	for _, w := range pending(r.p, r.done) {
		if !out.has(r.pieceOf(w.Strand)) && w != t {
			r.note("still to be put right: " + w.Text)
			wrong = append(wrong, w)
		}
	}
	if t.lasts() && !out.has(r.pieceOf(t.Strand)) {
		wrong = append(wrong, t)
	}
	if len(wrong) > 0 {
		r.note("newest first; the gripper takes the load each time before a clamp moves")
	}
	r.oldHands.end()
	if out != nil {
		r.cutOut(out.piece, out.tight)
	}
	return r.wayBack(wrong)
}

// cut is string that has to be cut out: a piece, or all for the empty one, which is still tight or is not.
type cut struct {
	piece plan.Piece
	tight bool
}

// has says whether a piece is cut out; where the mains go the crosses go too.
func (c *cut) has(p plan.Piece) bool {
	return c != nil && (c.piece != plan.PieceCrosses || c.piece == p)
}

// lost is the string that has to be cut out for a mishap, nil when it need not be, and what is to be said.
func (r *recovery) lost(t Trouble) (out *cut, why string, err error) {
	switch t.Fault {
	case plan.FaultLate, plan.FaultWeave, plan.FaultHole:
		if r.tied(r.undoable(t)) {
			return &cut{r.pieceOf(t.Strand), true}, "a tail of this string is trimmed and cannot be drawn back: the string is cut out and strung anew", nil
		}
		return nil, "", nil
	case plan.FaultBreak, plan.FaultKnot:
		return &cut{r.pieceOf(t.Strand), t.Fault == plan.FaultKnot},
			"face away from the string; cut from the centre outwards; then a new length has to be cut, key b tells how much", nil
	case plan.FaultSplit:
		s, knotted := r.knotIn(t.Hole)
		if !knotted {
			return nil, "no knot goes there any more; the nearest other tie-off hole serves", nil
		}
		return &cut{r.pieceOf(s), true}, "the knot there does not hold: its string is cut out and strung anew", nil
	case plan.FaultFrame:
		return &cut{"", !cutting(r.p, r.done)},
			"stop, no more pulls; relieve the tension evenly; take a picture, tell the owner; say nothing of the cause", nil
	}
	return nil, "", fmt.Errorf("no mishap is called %q", t.Fault)
}

// lookAgain lets the inspection of a bed count no more when something goes wrong after it.
func (r *recovery) lookAgain() {
	for i := range r.p.Steps[:r.done] {
		if s := &r.p.Steps[i]; s.Phase == plan.PhaseFinish && r.effective[s.Base] {
			delete(r.effective, s.Base)
			r.steps[len(r.steps)-1].Undoes = append(r.steps[len(r.steps)-1].Undoes, s.Base)
		}
	}
}

// fault remembers what a mishap changes: a split hole is no tie-off hole any more.
func (h *oldHands) fault(o *plan.Op) {
	if o.Fault != plan.FaultSplit {
		return
	}
	split := func(hole patterns.Hole) bool { return h.name(hole) == o.Hole }
	h.f.TieMains = slices.DeleteFunc(slices.Clone(h.f.TieMains), split)
	h.f.TieCrosses = slices.DeleteFunc(slices.Clone(h.f.TieCrosses), split)
}
