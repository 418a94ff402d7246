package referee

import "pullcard/sequence/plan"

// breaks lets a strand break: its line goes slack up to what holds next each way, and nothing else does. The piece is lost,
// unless the string parted outside the strand's exit, where enough of it is left to be gripped again.
func (t *Table) breaks(op *plan.Op) {
	switch op.Where {
	case plan.AtGripper, plan.AtJaw, plan.AtHole, plan.InBed, "":
	default:
		t.breach(ruleEnd, "no place of a break is called %q", op.Where)
	}
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	if op.Choose == "regrip" {
		t.regrip(op, s)
		return
	}
	if t.pulls(s) {
		t.tear()
	}
	t.part(s)
	t.spans[s].parted = true
	i, _ := t.piece(s)
	t.lose(i)
	t.pieces[i].broken = op.Where != ""
}

// regrip lets the string part outside a strand, in the gripper or in the jaws that held it; what is left of it is gripped
// again.
func (t *Table) regrip(op *plan.Op, s int) {
	e, inGripper := 2*s+1, t.pulls(s)
	if inGripper {
		e = t.gripper
	}
	if s != t.last || op.Where != plan.AtGripper && op.Where != plan.AtJaw {
		t.breach(ruleOnce, "%s cannot be gripped again: it broke neither in the gripper nor at the jaws on the strand pulled last", op.Strand)
	}
	if next := t.ends[e].link; next != none {
		t.breach(ruleOnce, "%s cannot be gripped again: the string outside %s went on to %s, and it is parted there", op.Strand, t.holeOf(e), t.nameOf(next))
	}
	if t.tied(e) {
		t.breach(ruleOnce, "%s cannot be gripped again: its tail is tied", op.Strand)
	}
	if inGripper {
		t.tear()
	}
	if op.Where == plan.AtJaw {
		for i, c := range t.clamps {
			if c.end == e {
				t.opens(i)
				t.clamps[i].slipped = true
			}
		}
	}
	t.feltTight(op, e)
	t.slip(t.give(e))
	for _, c := range t.clamps { // a flying one holds its other strand no better
		if c.on() && c.slipped && c.end == e && c.pair != none {
			t.slip(t.give(c.pair))
		}
	}
}

// lose says that a whole piece has to come out. The crosses go with the mains that they are woven into.
func (t *Table) lose(i int) {
	t.pieces[i].lost, t.lastCut = true, none
	if i == 0 && t.pieces[1].begun {
		t.pieces[1].lost = true
	}
}

// avoidsLost checks that no hand is laid on string that is lost, and that a cracked frame is only freed of its string.
func (t *Table) avoidsLost(op *plan.Op) {
	if t.cracked {
		switch op.Op {
		case plan.Unclamp, plan.Cut, plan.Slacken, plan.Release, plan.Dismount, plan.Note, plan.Inspect:
		default:
			t.breach(ruleEnd, "the frame is cracked: its string is cut out, and nothing else")
		}
	}
	if !t.pieces[0].lost && !t.pieces[1].lost {
		return
	}
	switch op.Op {
	case plan.Thread, plan.Weave:
		t.breach(ruleOnce, "%s is laid before the last of the lost string is cut out", op.Strand)
	case plan.Unthread, plan.Unweave: // what was never pulled hangs free
		if s := t.bed.find(op.Strand); s != none && (t.spans[s].pulled || t.spans[s].parted) {
			t.gone(s)
		}
	case plan.Pull, plan.ClampOn, plan.Tie, plan.Straighten, plan.Move, plan.Waive:
		t.gone(t.bed.find(op.Strand))
	case plan.WalkSlack:
		for _, s := range op.Strands {
			t.gone(t.bed.find(s))
		}
	case plan.Trim:
		pos := t.bed.hole(op.Hole)
		for _, k := range t.knots {
			if k.at == pos {
				t.gone(k.strand)
			}
		}
	}
}

// gone says that a strand is of a lost piece.
func (t *Table) gone(s int) {
	if s == none {
		return
	}
	if i, _ := t.piece(s); t.pieces[i].lost {
		t.breach(ruleOnce, "%s is of a lost piece, of which all is cut out before anything else is done with it", t.bed.strands[s].name)
	}
}
