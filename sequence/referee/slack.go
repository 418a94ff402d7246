package referee

import "pullcard/sequence/plan"

// slacken lets the gripper give way where nothing else holds: what it held is not pulled any more.
func (t *Table) slacken(op *plan.Op) {
	e := t.end(op.Strand, op.Hole, ruleOnce)
	if e == none {
		return
	}
	if t.gripper != e {
		t.breach(ruleStock, "the gripper does not pull %s at %s", op.Strand, op.Hole)
		return
	}
	t.release()
	if t.ends[e].holds > 0 {
		t.breach(ruleOnce, "something holds %s at %s: the gripper eases, it has nothing to slacken", op.Strand, op.Hole)
		return
	}
	for _, s := range t.give(e) {
		t.uncount(s)
		t.spans[s].doubted = false
	}
	t.leads()
}

// give lets the tensioned string that ends at an end go slack, unless something holds it there, back to the next thing
// that holds it. It returns the spans that went slack.
func (t *Table) give(e int) (lost []int) {
	inside, outside := t.spans[e/2].tense, t.ends[e].tense
	if inside == outside || t.ends[e].holds > 0 {
		return nil
	}
	if outside {
		e = t.beyond(e)
	}
	for e != none && t.spans[e/2].tense {
		t.loosen(e / 2)
		lost = append(lost, e/2)
		if e ^= 1; t.ends[e].holds > 0 {
			break
		}
		e = t.beyond(e)
	}
	return lost
}

// beyond makes the run outside an end slack. It returns the end at the other side of the run, or none when the string
// ends here or is held there.
func (t *Table) beyond(e int) int {
	next := t.ends[e].link
	if next == none {
		return none
	}
	t.ends[e].tense, t.ends[next].tense = false, false
	if t.ends[next].holds > 0 {
		return none
	}
	return next
}

// loosen makes a span slack. The pull that finished the first cross's tail is lost unless a knot keeps it.
func (t *Table) loosen(s int) {
	if !t.spans[s].tense {
		return
	}
	t.spans[s].tense = false
	t.tight[t.kind(s)]--
	if s == t.bed.first() && !t.tied(2*s) {
		t.finished = false
	}
}
