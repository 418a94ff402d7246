package referee

import (
	"math"

	"pullcard/sequence/plan"
)

// looped marks tension that was lost in a loop outside, which any pull restores that draws through it.
const looped = -1

// pull takes the string outside a hole and tensions it.
func (t *Table) pull(op *plan.Op) {
	t.where.pulls++
	if t.where.pulls == 2 {
		t.breach(ruleStock, "a step holds one pull")
	}
	e := t.end(op.Strand, op.Hole, ruleOnce)
	if e == none {
		return
	}
	before, mends := t.lead(), op.Repull && t.spans[e/2].slipped
	if t.gripper != none {
		t.breach(ruleStock, "the gripper still pulls %s", t.nameOf(t.gripper))
		t.letGo(t.gripper)
	}
	t.once(op, e)
	t.drawsBack(op, e)
	t.overMains(op, e/2)
	t.checkPullOrder(op, e)
	t.tension(op, e)
	t.gripper, t.torn, t.last = e, false, e/2
	t.pulling.again, t.pulling.doubted, t.pulling.outward, t.pulling.also = op.Repull, false, t.outward(op, e), t.along(op)
	for i := range t.spans {
		t.spans[i].since = false
	}
	t.pulling.stood = t.standingClamps()
	if also := t.pulling.also; also != none {
		if t.spans[also].boosted = 0; t.spans[e/2].boosted != 0 {
			t.spans[also].boosted = looped // it gets the same tension
		}
	}
	t.hold(e)
	t.draw()
	t.book(op, e)
	if !mends { // what slipped can only be pulled again from the next holder on
		t.leads(before)
	}
}

// book books a pull, and lets one that was a re-pull be the newest, too.
func (t *Table) book(op *plan.Op, e int) {
	t.turn++
	t.spans[e/2].turn = t.turn
	if op.Repull {
		return
	}
	t.totals.Pulls++
	t.count(e / 2)
	t.ends[e].late = t.ends[e].link == none
}

// pulls says whether the gripper pulls a strand.
func (t *Table) pulls(s int) bool { return t.gripper != none && t.gripper/2 == s }

// along returns the strand that a pull names to be drawn tight with its own, or none.
func (t *Table) along(op *plan.Op) int {
	if op.Also == "" {
		return none
	}
	s := t.laid(op.Also, ruleOnce)
	switch {
	case s == none:
		return none
	case !t.bed.flying():
		t.breach(ruleOnce, "only with flying clamps one pull draws two strands tight, %s and %s", op.Strand, op.Also)
		return none
	case t.spans[s].tense:
		t.breach(ruleOnce, "%s is tensioned already, the pull of %s does not draw it tight", op.Also, op.Strand)
		return none
	}
	return s
}

// once checks that a span may be pulled here.
func (t *Table) once(op *plan.Op, e int) {
	s := t.spans[e/2]
	switch {
	case op.Repull && !s.tense && !s.slipped && !t.outward(op, e):
		t.breach(ruleOnce, "%s is slack, its pull is no re-pull", op.Strand)
	case !op.Repull && s.pulled:
		t.breach(ruleOnce, "%s is pulled already", op.Strand)
	case !op.Repull && e%2 == 0:
		t.breach(ruleOnce, "%s is not pulled from its exit %s", op.Strand, t.holeOf(e^1))
	}
	switch {
	case t.ends[e].knot:
		t.breach(ruleOnce, "the tail outside %s is tied", op.Hole)
	case t.ends[e].short == 1:
		t.breach(ruleOnce, "the tail outside %s is trimmed, it is too short for the gripper", op.Hole)
	case t.ends[e].tense:
		t.breach(ruleOnce, "the string outside %s is tensioned already", op.Hole)
	case !op.Repull && t.keeper(e) != none:
		t.breach(ruleOnce, "%s grips %s at %s and keeps the pull from it", plan.Clamps()[t.keeper(e)], op.Strand, op.Hole)
	}
}

// outward says whether a re-pull draws the loop outside, since that and not the span has slipped.
func (t *Table) outward(op *plan.Op, e int) bool {
	s, next := t.spans[e/2], t.ends[e].link
	return op.Repull && !s.tense && !s.slipped && next != none && t.spans[next/2].slipped
}

// overMains checks that a cross is not pulled over a slack main. In one piece a slip on a cross may loosen the mains as
// well; its re-pull draws them tight again.
func (t *Table) overMains(op *plan.Op, s int) {
	if t.kind(s) == 0 {
		return
	}
	mends := op.Repull && t.spans[s].slipped
	for m := range t.bed.mains {
		if !t.spans[m].tense && !(mends && t.spans[m].slipped) && t.bed.meeting(s, m).meet {
			t.breach(ruleLead, "%s is pulled over %s, which is slack", op.Strand, t.bed.strands[m].name)
			return
		}
	}
}

// count books the first pull of a span.
func (t *Table) count(s int) {
	if t.spans[s].pulled {
		return
	}
	t.spans[s].pulled = true
	if t.kind(s) == 1 && s != t.bed.skipped() {
		t.rest--
	}
}

// uncount takes the pull of a span back.
func (t *Table) uncount(s int) {
	if !t.spans[s].pulled {
		return
	}
	t.spans[s].pulled = false
	t.spans[s].boosted = 0
	t.ends[2*s].late, t.ends[2*s+1].late = false, false
	if t.kind(s) == 1 && s != t.bed.skipped() {
		t.rest++
	}
}

// lead is by how many tensioned mains one side is ahead of the other. A slack one loads no frame.
func (t *Table) lead() int {
	tight := [2]int{}
	for m := range t.bed.mains {
		if t.spans[m].tense {
			tight[t.side(m)]++
		}
	}
	return max(tight[0]-tight[1], tight[1]-tight[0])
}

// leads checks by how much one side leads when a main was pulled or let go; where a mishap made it too much, no hand may
// make it more. String that is all cut out, from the centre outwards, leads by nothing that matters.
func (t *Table) leads(before int) {
	lead := t.lead()
	t.totals.MaxLead = max(t.totals.MaxLead, lead)
	if lead > t.bed.terms.Lead && lead > before && !t.pieces[0].lost && !t.cracked {
		t.breach(ruleLead, "one side leads by %d pulls, at most %d are allowed", lead, t.bed.terms.Lead)
	}
}

// side is 0 for a main of the left side, 1 for one of the right side.
func (t *Table) side(main int) int { return t.bed.side(main) }

// first is the cross from which the crosses of two pieces begin.
func (b *bed) first() int {
	if b.terms.From == "throat" {
		return len(b.strands) - 1
	}
	return b.mains
}

// skipped is the first cross of a skip start, which is pulled after all others, or none.
func (b *bed) skipped() int {
	if b.terms.Pieces == 2 && b.terms.Start == "skip" {
		return b.first()
	}
	return none
}

// again says whether a re-pull finishes the tail of the first cross, which the starting clamp held. One that only takes the
// load while a clamp which crept is set again does not.
func (t *Table) again(op *plan.Op, e int) bool {
	terms := t.bed.terms
	return op.Repull && t.spans[e/2].low == 0 && terms.Pieces == 2 && terms.Start == "clamp" && e == 2*t.bed.first()
}

// boosted says whether the technique boosts this pull.
func (t *Table) boosted(op *plan.Op, e int) bool {
	s, terms := e/2, t.bed.terms
	switch {
	case op.Repull:
		sp := &t.spans[s]
		return t.again(op, e) && !sp.slipped || sp.boosted == looped || sp.boosted == e+1 // for the knot at that end
	case t.kind(s) == 1:
		return s == t.bed.skipped() || t.rest == 1 && t.ends[e].link == none // not where the last one slipped and is pulled again
	case terms.Pieces == 2:
		return t.bed.outward(s) < terms.BoostMains
	case string(t.bed.strands[s].side) != terms.Short:
		return false
	case terms.Around:
		return t.bed.outward(s) == 1
	}
	return t.bed.outward(s) == 0
}

// tension checks how hard a pull is.
func (t *Table) tension(op *plan.Op, e int) {
	ordered := t.bed.terms.PullOf(t.nameOf(e))
	newtons, text, percent := ordered.Newtons, ordered.Ordered, 0.0
	boost := t.boosted(op, e)
	if boost {
		newtons, text, percent = ordered.BoostedNewtons, ordered.Boosted, ordered.BoostPercent
	}
	t.finished = t.finished || boost && t.again(op, e)
	if t.spans[e/2].boosted = 0; boost {
		t.spans[e/2].boosted = e + 1
	}
	if !same(op.Newtons, newtons) || !same(op.BoostPercent, percent) || op.Tension != text {
		t.breach(ruleTension, "%s is pulled at %q, %g N with %g %% boost; it should be %q, %g N with %g %%",
			op.Strand, op.Tension, op.Newtons, op.BoostPercent, text, newtons, percent)
	}
}

// same compares two figures to one part in a million.
func same(a, b float64) bool {
	return math.Abs(a-b) <= 1e-6*max(math.Abs(a), math.Abs(b))
}

// release eases the gripper.
func (t *Table) release() {
	if t.gripper == none {
		if !t.torn {
			t.breach(ruleStock, "the gripper does not pull")
		}
		t.torn = false
		return
	}
	t.letGo(t.gripper)
	t.gripper = none
}

// straighten checks that a strand which is put straight is under tension.
func (t *Table) straighten(op *plan.Op) {
	if s := t.strand(op.Strand, ruleOnce); s != none && !t.spans[s].tense {
		t.breach(ruleOnce, "%s is slack, it is put straight under tension", op.Strand)
	} else if s != none && s != t.last && !t.astray {
		t.breach(ruleOrder, "%s is put straight, but it was not pulled last", op.Strand)
	}
}
