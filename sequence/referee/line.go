package referee

import "pullcard/sequence/plan"

// still says that an op neither moves tension nor takes away what holds it: no boundary need be looked at.
func still(do plan.OpKind) bool {
	switch do {
	case plan.Mount, plan.Dismount, plan.Inspect, plan.Note, plan.Straighten, plan.Trim, plan.Thread, plan.Weave, plan.WalkSlack, plan.Waive, plan.Move:
		return true
	}
	return false
}

// boundaries says where tension has come to end with nothing to hold it. There the string goes slack, back to what holds
// it next.
func (t *Table) boundaries() {
	for e := range t.ends {
		if t.ends[e].tense != t.spans[e/2].tense && t.ends[e].holds == 0 {
			t.unheld(e)
			t.slip(t.give(e))
		}
	}
}

func (t *Table) unheld(e int) {
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
	t.drawsThrough()
	e, first := t.gripper, t.pulling.outward
	var slack []int
	if !first {
		if t.keeper(e) != none {
			return
		}
		slack = t.loads(slack, e/2)
		e ^= 1
	}
	for first || t.ends[e].holds == 0 {
		next := t.ends[e].link
		if next == none {
			break
		}
		t.ends[e].tense, t.ends[next].tense = true, true
		if t.ends[next].holds > 0 {
			break
		}
		slack = t.loads(slack, next/2)
		e, first = next^1, false
	}
	t.drew(slack)
}

// loads draws the pull through a span, and adds it to those that were slack.
func (t *Table) loads(slack []int, s int) []int {
	sp := &t.spans[s]
	if !sp.tense {
		slack = append(slack, s)
		sp.doubt = 0
	}
	if sp.low == looped || (sp.low == t.gripper+1 || s == t.gripper/2) && t.pulling.again && !sp.since && !t.clamped(t.gripper) {
		sp.low = 0
	}
	if s == t.gripper/2 && t.pulling.again && !t.pulling.doubted && sp.doubt&doubtHigh == 0 {
		sp.doubt = 0
	}
	t.tighten(s)
	return slack
}

// drew judges what was slack when it was drawn tight, from the gripper on: the strand that is pulled, what the pull names,
// and what slipped and out of which slack was walked just before. Nothing else may lie slack behind a pull.
func (t *Table) drew(slack []int) {
	if t.pulling.also != none && !t.spans[t.pulling.also].tense {
		t.breach(ruleOnce, "the pull does not draw %s along", t.bed.strands[t.pulling.also].name)
	}
	if len(slack) == 0 {
		return
	}
	walked := t.asWalked(slack)
	own := t.gripper / 2
	if t.pulling.outward {
		own = slack[0]
	}
	for _, s := range slack {
		switch {
		case s == own:
		case s == t.pulling.also:
			t.count(s)
		case !walked:
			t.breach(ruleOnce, "%s is slack behind it", t.bed.strands[s].name)
		}
	}
}

func (t *Table) tighten(s int) {
	if !t.spans[s].tense {
		t.spans[s].tense, t.spans[s].slipped, t.spans[s].loose = true, false, false
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
