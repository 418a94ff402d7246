package referee

import "pullcard/sequence/plan"

// still says that an op neither moves tension nor takes away what holds it: no boundary need be looked at.
func still(do plan.Do) bool {
	switch do {
	case plan.Mount, plan.Dismount, plan.Inspect, plan.Note, plan.Straighten, plan.Trim, plan.Thread, plan.Weave:
		return true
	}
	return false
}

// boundaries says where tension has come to end with nothing to hold it.
func (t *Table) boundaries() {
	for i := range t.ends {
		e := &t.ends[i]
		loose := e.tense != t.spans[i/2].tense && e.holds == 0
		if loose && !e.loose {
			t.slips(i)
		}
		e.loose = loose
	}
}

func (t *Table) slips(e int) {
	inside, outside := "slack", "tensioned"
	if t.spans[e/2].tense {
		inside, outside = outside, inside
	}
	t.breach(ruleHeld, "%s is %s and the string outside %s is %s, and nothing holds it there",
		t.nameOf(e), inside, t.holeOf(e), outside)
}

// draw tightens the string from the gripper back to the first thing that holds it. A clamp between the gripper and the
// string that is pulled keeps the pull from it.
func (t *Table) draw() {
	e, first := t.gripper, t.pulling.outward
	if !first {
		if t.keeper(e) != none {
			return
		}
		t.tighten(e / 2)
		e ^= 1
	}
	for ; first || t.ends[e].holds == 0; e ^= 1 {
		first = false
		next := t.ends[e].link
		if next == none {
			return
		}
		t.ends[e].tense, t.ends[next].tense = true, true
		if t.ends[next].holds > 0 {
			return
		}
		if !t.spans[next/2].tense {
			t.behind(next / 2)
		}
		e = next
	}
}

// behind draws a slack span along with the one that is pulled. A re-pull may draw what slipped. Apart from that only
// flying clamps, which have to grip two strands, let the first pull of the mains or of the crosses load two.
func (t *Table) behind(s int) {
	switch {
	case t.pulling.again && t.spans[s].slipped:
	case t.bed.flying() && t.tight[t.kind(s)] == 1:
		t.count(s)
	default:
		t.breach(ruleOnce, "%s is slack behind it", t.bed.strands[s].name)
	}
	t.tighten(s)
}

func (t *Table) tighten(s int) {
	if !t.spans[s].tense {
		t.spans[s].tense, t.spans[s].slipped = true, false
		t.tight[t.kind(s)]++
	}
}

// kind is 0 for a main, 1 for a cross.
func (t *Table) kind(s int) int {
	if s < t.bed.mains {
		return 0
	}
	return 1
}

// hold counts one thing more that holds the string at an end.
func (t *Table) hold(e int) { t.ends[e].holds++ }

// letGo counts one less.
func (t *Table) letGo(e int) { t.ends[e].holds-- }
