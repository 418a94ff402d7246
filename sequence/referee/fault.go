package referee

import "pullcard/sequence/plan"

// fault says what went wrong and does that to the string.
func (t *Table) fault(op *plan.Op) {
	t.needs("text", op.Text)
	t.lastCut = none
	t.disorder()
	switch op.Fault {
	case plan.FaultClamp:
		t.slipClamp(op)
	case plan.FaultLate:
		if s := t.laid(op.Strand, ruleOnce); s != none {
			t.spans[s].doubted = true
		}
	case plan.FaultWeave:
		t.misplaced(op.Strand)
	case plan.FaultHole:
		t.misplaced(op.Strand)
		if t.bed.hole(op.Hole) == 0 {
			t.breach(ruleHole, "the frame has no hole %q", op.Hole)
		}
	case plan.FaultBreak:
		if s := t.laid(op.Strand, ruleOnce); s != none {
			i, _ := t.piece(s)
			t.lose(i)
		}
	case plan.FaultKnot:
		t.slipKnot(op)
	case plan.FaultSplit:
		t.split(op)
	case plan.FaultFrame:
		t.cracked = true
	default:
		t.breach(ruleEnd, "no mishap is called %q", op.Fault)
	}
}

// misplaced marks a strand that lies wrong until it is taken out.
func (t *Table) misplaced(name plan.Strand) {
	if s := t.laid(name, ruleOnce); s != none {
		t.spans[s].wrong = true
	}
}

// disorder lets the phases come anew.
func (t *Table) disorder() { t.anew, t.where.lays = true, false }

// split takes a tie-off hole out of use.
func (t *Table) split(op *plan.Op) {
	h := &t.holes[t.bed.hole(op.Hole)]
	if !h.tieMains && !h.tieCrosses {
		t.breach(ruleKnot, "%q is no tie-off hole", op.Hole)
		return
	}
	h.split = true
}

// lose makes a whole piece slack, whatever holds it. The crosses go with the mains that they are woven into.
func (t *Table) lose(i int) {
	t.pieces[i].lost, t.lastCut = true, none
	for s := range t.spans {
		if j, _ := t.piece(s); j == i && t.spans[s].laid {
			t.loosen(s)
			t.ends[2*s].tense, t.ends[2*s+1].tense = false, false
		}
	}
	if i == 0 && t.pieces[1].begun {
		t.lose(1)
	}
}

// spared checks that no hand is laid on string that is lost, and that a cracked frame is only freed of its string.
func (t *Table) spared(op *plan.Op) {
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
	case plan.Pull, plan.Grab, plan.Tie, plan.Straighten, plan.Slacken, plan.Unthread, plan.Unweave:
		t.gone(t.bed.find(op.Strand))
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
