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
	before := t.lead()
	t.release()
	if t.ends[e].holds > 0 {
		t.breach(ruleOnce, "something holds %s at %s: the gripper eases, it has nothing to slacken", op.Strand, op.Hole)
		return
	}
	for _, s := range t.give(e) {
		t.uncount(s)
		t.spans[s].doubt = 0
	}
	t.leads(before)
}

// across is the end at the other side of the run outside an end, or none when the string ends there or is held there.
func (t *Table) across(e int) int {
	next := t.ends[e].link
	if next == none || t.ends[next].holds > 0 {
		return none
	}
	return next
}

// cell are the tensioned spans from a boundary of tension at an end back to the next thing that holds them: what goes
// slack when nothing holds there. There are none where tension does not end.
func (t *Table) cell(e int) (spans []int) {
	outside := t.ends[e].tense
	if t.spans[e/2].tense == outside {
		return nil
	}
	if outside {
		e = t.across(e)
	}
	for e != none && t.spans[e/2].tense {
		spans = append(spans, e/2)
		if e ^= 1; t.ends[e].holds > 0 {
			break
		}
		e = t.across(e)
	}
	return spans
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
	return t.loosenFrom(e)
}

// loosenFrom makes the span that is entered at an end slack, and what is behind it up to the next thing that holds.
func (t *Table) loosenFrom(e int) (lost []int) {
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

// part makes a span slack that has come apart, and its line up to the next thing that holds each way.
func (t *Table) part(s int) {
	if !t.spans[s].tense {
		return
	}
	t.loosen(s)
	for _, e := range ends(s) {
		if t.ends[e].holds == 0 {
			t.loosenFrom(t.beyond(e))
		}
	}
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
	t.spans[s].tense, t.spans[s].loose, t.spans[s].low = false, true, 0
	t.tight[t.kind(s)]--
	if s == t.bed.first() && !t.tied(2*s) {
		t.finished = false
	}
}

// slip marks spans that went slack because what held them let go.
func (t *Table) slip(spans []int) {
	for _, s := range spans {
		t.spans[s].slipped = true
	}
}
