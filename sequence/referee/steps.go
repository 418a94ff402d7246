package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// standing checks that string is handled only while the frame is mounted.
func (t *Table) standing(do plan.OpKind) {
	switch do {
	case plan.Mount, plan.Dismount, plan.Inspect, plan.Note, plan.Fault, plan.Waive:
		return
	}
	if up := len(t.bed.terms.Supports); !t.strung && t.supports.up < up {
		t.breach(ruleEnd, "string is handled with %d of %d supports mounted", t.supports.up, up)
	}
	t.readRange()
	t.strung, t.where.handled = true, true
	if t.supports.down > 0 && !t.cracked { // a crack may show when the frame is half off; it is freed of its string all the same
		t.breach(ruleEnd, "string is handled while the frame is dismounted")
	}
}

// inPhase checks that an op stands in a phase that it belongs to.
func (t *Table) inPhase(do plan.OpKind, phase plan.Phase) {
	ok := true
	switch do {
	case plan.Mount:
		ok = phase == plan.PhaseMount
	case plan.Dismount:
		ok = phase == plan.PhaseFinish
	case plan.Thread:
		ok = phase == plan.PhaseMains || phase == plan.PhaseCrosses && t.bed.terms.Pieces == 1
	case plan.Weave:
		ok = phase == plan.PhaseCrosses || phase == plan.PhaseMains && t.bed.terms.Pieces == 1
	case plan.Inspect, plan.Note, plan.Fault, plan.Waive:
	case plan.Slacken, plan.Unthread, plan.Unweave, plan.Move, plan.Untie, plan.Cut, plan.WalkSlack:
		ok = phase == plan.PhaseMains || phase == plan.PhaseCrosses || phase == plan.PhaseFinish && t.cracked
	default:
		ok = phase != plan.PhaseMount
	}
	if !ok {
		t.breach(ruleEnd, "phase %q is no time for it", phase)
	}
}

// mount puts the next support on.
func (t *Table) mount(op *plan.Op) {
	if t.strung {
		t.breach(ruleEnd, "string is handled already")
	}
	t.next(op.Support, t.bed.terms.Supports, t.supports.up)
	t.supports.up++
}

// dismount takes the next support off.
func (t *Table) dismount(op *plan.Op) {
	if t.supports.down == 0 {
		t.gripping()
	}
	t.next(op.Support, t.releases(), t.supports.down)
	t.supports.down++
}

// releases is the order in which the supports that are on come off. A frame that cracked while it was mounted has not all.
func (t *Table) releases() (out []string) {
	on := t.bed.terms.Supports[:min(t.supports.up, len(t.bed.terms.Supports))]
	for _, s := range t.bed.terms.Release {
		if !t.cracked || slices.Contains(on, s) {
			out = append(out, s)
		}
	}
	return out
}

// next checks that a support is the one whose turn it is.
func (t *Table) next(support string, order []string, done int) {
	switch {
	case done >= len(order):
		t.breach(ruleEnd, "no support is left, %q least of all", support)
	case order[done] != support:
		t.breach(ruleEnd, "it is the turn of %q, not of %q", order[done], support)
	}
}

// close checks a step when its ops are done.
func (t *Table) close(s *plan.Step) {
	if t.gripper != none && !t.interrupted(s) && !(t.astray && s.Base == 0) { // in a way back the gripper may pull on to the next step
		t.breach(ruleStock, "the gripper still pulls %s when the step is over", t.nameOf(t.gripper))
	}
	if s.Record && (len(s.Ops) == 0 || s.Ops[len(s.Ops)-1].Op != plan.Fault) {
		t.breach(ruleEnd, "the step only writes down what went wrong, but it does not end with that")
	}
	if s.N != t.steps {
		t.breach(ruleEnd, "the step's number is %d", s.N)
	}
	t.order(s.Phase)
	t.places(s.Clamps)
}

// interrupted says whether a step ends with what went wrong in it, or only tells of it: the gripper then stays where it is.
func (t *Table) interrupted(s *plan.Step) bool {
	return len(s.Ops) > 0 && s.Ops[len(s.Ops)-1].Op == plan.Fault || t.where.hung && !t.where.handled
}

// order checks that the phases come in their order. After a mishap any but the first may come again.
func (t *Table) order(name plan.Phase) {
	phase, first := slices.Index(plan.Phases(), name), t.phase
	if t.anew {
		first = min(first, slices.Index(plan.Phases(), plan.PhaseMains))
		t.anew = !t.where.lays
		t.phase = first
	}
	if phase < first {
		t.breach(ruleEnd, "phase %q is unknown or comes too late", name)
	}
	t.phase = max(t.phase, phase)
}

// gripping says what still holds string.
func (t *Table) gripping() {
	for i, c := range t.clamps {
		if c.on() {
			t.breach(ruleEnd, "%s still grips %s", plan.Clamps()[i], t.place(c))
		}
	}
	if t.gripper != none {
		t.breach(ruleEnd, "the gripper still pulls %s", t.nameOf(t.gripper))
	}
}

// Finish checks what must hold when the last step was played: every strand laid and tensioned, none of them wrong,
// two knots in every piece, tails trimmed, nothing gripping, the frame off the machine, and the totals. Of a cracked frame
// nothing may be left on it. It returns the breaches.
func (t *Table) Finish(totals plan.Totals) []Breach {
	t.found, t.where = nil, where{}
	if t.cracked {
		t.bare()
	} else {
		t.complete()
		t.knotted()
	}
	t.gripping()
	want, off := len(t.bed.terms.Supports), len(t.releases())
	if t.cracked {
		want = t.supports.up
	}
	if t.supports.up != want || t.supports.down != off {
		t.breach(ruleEnd, "%d of %d supports were mounted, %d of %d dismounted", t.supports.up, want, t.supports.down, off)
	}
	t.totals.Knots = len(t.knots)
	if totals != t.totals {
		t.breach(ruleEnd, "the totals are %d pulls, %d knots and a lead of %d, not %d, %d and %d", t.totals.Pulls,
			t.totals.Knots, t.totals.MaxLead, totals.Pulls, totals.Knots, totals.MaxLead)
	}
	return t.found
}

// complete checks the strands of a finished racket.
func (t *Table) complete() {
	for i := range t.spans {
		switch name := t.bed.strands[i].name; {
		case !t.spans[i].laid:
			t.breach(ruleHole, "%s is not laid", name)
		case !t.spans[i].tense:
			t.breach(ruleEnd, "%s is slack", name)
		case t.spans[i].doomed:
			t.breach(ruleHeld, "%s would have been cut where it was tight, and it stays", name)
		case t.spans[i].low != 0:
			t.breach(ruleEnd, "%s lost tension when its clamp crept, and was never pulled anew with that clamp off", name)
		case t.spans[i].wrong != 0:
			t.breach(ruleEnd, "%s lies wrong since a mishap, it was never taken out", name)
		case t.spans[i].doubt&doubtSlip != 0:
			t.breach(ruleEnd, "%s slipped, which was found late, and was never let go and pulled anew", name)
		case t.spans[i].doubt != 0:
			t.breach(ruleEnd, "%s was pulled at a wrong setting, and was neither pulled anew nor kept by name", name)
		}
	}
}

// bare checks that no string is left on a cracked frame.
func (t *Table) bare() {
	for i := range t.spans {
		if t.spans[i].laid {
			t.breach(ruleEnd, "%s is not cut out of the cracked frame", t.bed.strands[i].name)
		}
	}
	for _, k := range t.knots {
		t.breach(ruleEnd, "the knot of %s is still in %s", t.bed.strands[k.strand].name, t.bed.name(k.at))
	}
}

// knotted checks the knots and tails of a finished racket.
func (t *Table) knotted() {
	var count [2]int
	for _, k := range t.knots {
		i, _ := t.piece(k.strand)
		count[i]++
		if !k.trimmed {
			t.breach(ruleKnot, "the tail in %s is not trimmed", t.bed.name(k.at))
		}
		if t.holes[k.at].split {
			t.breach(ruleKnot, "the knot of %s is still in %s, which is split", t.bed.strands[k.strand].name, t.bed.name(k.at))
		}
	}
	for i, n := range count[:t.bed.terms.Pieces] {
		if n != 2 {
			t.breach(ruleKnot, "piece %d of %d has %d knots, not two", i+1, t.bed.terms.Pieces, n)
		}
	}
	if t.bed.terms.Pieces == 2 && t.bed.terms.Start == "clamp" && !t.finished {
		t.breach(ruleTension, "the tail of %s was never pulled with its boost", t.bed.strands[t.bed.first()].name)
	}
}
