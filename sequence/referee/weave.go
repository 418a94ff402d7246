package referee

import "pullcard/sequence/plan"

// woven checks how a cross passes the mains.
func (t *Table) woven(op *plan.Op, s int) {
	if op.Op != plan.Weave {
		t.breach(ruleWeave, "%s is a cross, it is woven and not threaded", op.Strand)
		return
	}
	count := t.bed.met(s)
	if op.Meets != count {
		t.breach(ruleWeave, "%s meets %d mains, not %d", op.Strand, count, op.Meets)
	}
	if op.First != plan.Over && op.First != plan.Under {
		t.breach(ruleWeave, `a cross passes its first main "over" or "under", not %q`, op.First)
		return
	}
	if m := t.unthreaded(s); m != none {
		t.breach(ruleWeave, "%s meets %s, which is not threaded yet", op.Strand, t.bed.strands[m].name)
	}
	t.alternate(op, s, count)
	t.checkFirstFace(op, s)
}

// unthreaded returns a main that a cross meets and that is not laid, or none.
func (t *Table) unthreaded(cross int) int {
	for m := range t.bed.mains {
		if !t.spans[m].laid && t.bed.meeting(cross, m).meet {
			return m
		}
	}
	return none
}

// alternate follows a cross from its entry over its mains, every second one on the other face, and checks that on each
// main the crosses of even place all pass it on one face and those of odd place on the other.
func (t *Table) alternate(op *plan.Op, s, count int) {
	fromLeft := t.ends[2*s].hole == t.bed.strands[s].ends[0]
	clash := none
	for m := range t.bed.mains {
		x := t.bed.meeting(s, m)
		if !x.meet {
			continue
		}
		place := x.across
		if !fromLeft {
			place = count - 1 - x.across
		}
		evenOver := (place + x.down) % 2
		if op.First == plan.Under {
			evenOver = 1 - evenOver
		}
		switch t.weave[m] {
		case none:
			t.weave[m] = evenOver
		case evenOver:
		default:
			clash = m
		}
	}
	if clash != none {
		t.breach(ruleWeave, "over and under do not alternate on %s where %s passes it", t.bed.strands[clash].name, op.Strand)
	}
}
