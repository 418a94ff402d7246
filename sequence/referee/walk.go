package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// keepsWalk says that an op leaves slack that was walked to the gripper there.
func keepsWalk(do plan.OpKind) bool {
	switch do {
	case plan.WalkSlack, plan.Pull, plan.Unclamp, plan.Inspect, plan.Note:
		return true
	}
	return false
}

// walk draws slack by hand along strands of one line, from what holds soundly to the gripper that pulls next.
func (t *Table) walk(op *plan.Op) {
	t.walked = nil
	count := [2]int{}
	for i, name := range op.Strands {
		s := t.laid(name, ruleOnce)
		if s == none {
			return
		}
		switch {
		case t.spans[s].tense:
			t.breach(ruleOnce, "%s is tensioned, there is no slack in it to be walked out", name)
		case !t.spans[s].slipped:
			t.breach(ruleOnce, "%s did not slip: it is pulled anew, and slack is not walked out of it", name)
		case i > 0 && t.joint(t.walked[i-1], s) == none:
			t.breach(ruleOnce, "the string does not go from %s on to %s", t.bed.strands[t.walked[i-1]].name, name)
		case i > 0:
			t.felt(t.walked[i-1], s)
		}
		t.walked = append(t.walked, s)
		count[t.kind(s)]++
	}
	if len(op.Strands) == 0 {
		t.breach(ruleOnce, "no strand is named out of which slack is walked")
	}
	if most := t.bed.terms.WalkStrands(); count[0] > most.Mains || count[1] > most.Crosses {
		t.breach(ruleOnce, "slack is walked out of %d mains and %d crosses, at most out of %d and %d: beyond that they are undone",
			count[0], count[1], most.Mains, most.Crosses)
	}
}

// drawsBack checks that what slipped is not pulled with string that is drawn back to the gripper through many crosses: those that were
// woven since count with those out of which slack was walked.
func (t *Table) drawsBack(op *plan.Op, e int) {
	s := &t.spans[e/2]
	if !s.slipped {
		return
	}
	walked, since := 0, 0
	for _, w := range t.walked {
		walked += t.kind(w)
	}
	for next := t.ends[e].link; next != none && !t.spans[next/2].tense; next = t.ends[next^1].link {
		if t.kind(next/2) == 1 && t.spans[next/2].nth > s.nth {
			since++
		}
	}
	if most := t.bed.terms.WalkStrands().Crosses; walked+since > most {
		t.breach(ruleOnce, "%s is pulled again with string that is drawn back through %d crosses woven since, and %d walked out of, at most %d: the newest come out before",
			op.Strand, since, walked, most)
	}
}

// joint is the end of a strand from which a run outside leads to another, or none.
func (t *Table) joint(from, to int) int {
	for _, e := range ends(from) {
		if next := t.ends[e].link; next != none && next/2 == to {
			return e
		}
	}
	return none
}

// felt checks that slack is walked past the centre loop only when the other side was felt to be slack.
func (t *Table) felt(from, to int) {
	if e := t.joint(from, to); t.centreLoop(e, t.ends[e].link) && !t.ends[e].felt && !t.ends[e^1].felt {
		t.breach(ruleHeld, "slack is walked past the centre loop before anybody has felt whether %s is slack", t.nameOf(e))
	}
}

// asWalked says whether the slack strands that are drawn tight, from the gripper on, are those out of which slack was
// walked just before, in that order.
func (t *Table) asWalked(slack []int) bool {
	if len(t.walked) == 0 {
		return false
	}
	walked := slices.Clone(t.walked)
	slices.Reverse(walked)
	if !slices.Equal(walked, slack) {
		t.breach(ruleOnce, "slack was walked from %s on, but what is slack begins at %s and is %d strands", t.bed.strands[t.walked[0]].name,
			t.bed.strands[slack[len(slack)-1]].name, len(slack))
		return false
	}
	return true
}

// inspect looks at something; a strand that it names is pressed.
func (t *Table) inspect(op *plan.Op) {
	t.needs("text", op.Text)
	t.reads(op.Text)
	if op.Strand == "" {
		return
	}
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	for _, e := range ends(s) {
		t.ends[e].felt = t.ends[e].felt || op.Hole == "" || t.bed.hole(op.Hole) == t.ends[e].hole
	}
	if op.Hole != "" {
		t.end(op.Strand, op.Hole, ruleOnce)
	}
	t.whenTight(op, s)
}

// whenTight checks what is done where a strand that is pressed is tight: what is lost is cut, and what is cut comes out.
func (t *Table) whenTight(op *plan.Op, s int) {
	i, _ := t.piece(s)
	lost := t.pieces[i].lost || t.cracked
	switch op.Tight {
	case "": // nothing is asked
	case plan.CutTight:
		t.spans[s].doomed = true
	case plan.GripTight, plan.LeaveTight:
		if lost {
			t.breach(ruleHeld, "%s is lost, where it is tight it is cut", op.Strand)
		}
		if op.Tight == plan.GripTight && op.Hole == "" {
			t.breach(ruleHeld, "no hole is named at which the gripper takes %s", op.Strand)
		}
	default:
		t.breach(ruleHeld, "nothing that is done with tight string is called %q", op.Tight)
	}
}
