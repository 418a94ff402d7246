package referee

import "pullcard/sequence/plan"

// unlay draws a strand back out of the hoop.
func (t *Table) unlay(op *plan.Op) {
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	if from, to := t.ends[2*s].hole, t.ends[2*s+1].hole; t.bed.hole(op.From) != from || t.bed.hole(op.To) != to {
		t.breach(ruleHole, "%s was laid from %s to %s, not from %q to %q",
			op.Strand, t.bed.name(from), t.bed.name(to), op.From, op.To)
	}
	if (op.Op == plan.Unthread) != (t.kind(s) == 0) {
		t.breach(ruleWeave, "a main is unthreaded, a cross unwoven")
	}
	t.free(s)
	t.atLineEnd(s)
	for i := len(t.knots) - 1; i >= 0; i-- {
		switch k := &t.knots[i]; {
		case k.start && k.end == 2*s:
			t.uncover(t.bed.run(k.out, k.at))
			k.out, k.end = t.ends[k.end].home, none // it holds the string's start again, which is to enter by its own hole
			t.lies(t.bed.run(k.out, k.at))
		case k.strand == s:
			t.breach(ruleKnot, "%s is tied in %s", op.Strand, t.bed.name(k.at))
			t.open(i)
		case k.anchor == s:
			t.breach(ruleKnot, "the knot of %s in %s sits on %s", t.bed.strands[k.strand].name, t.bed.name(k.at), op.Strand)
		}
	}
	t.remove(s, false)
}

// free checks that nothing keeps a strand from being drawn out.
func (t *Table) free(s int) {
	name := t.bed.strands[s].name
	if t.spans[s].tense {
		t.breach(ruleOnce, "%s is tensioned", name)
	}
	t.gripped(s)
	if t.kind(s) == 0 {
		for c := t.bed.mains; c < len(t.bed.strands); c++ {
			if t.spans[c].laid && t.bed.meeting(c, s).meet {
				t.breach(ruleWeave, "%s is woven through %s", t.bed.strands[c].name, name)
				return
			}
		}
	}
}

// atLineEnd checks that a strand is at an end of its line: a free tail hangs from it.
func (t *Table) atLineEnd(s int) {
	var beside [2]string
	for i := range beside {
		switch e := t.ends[2*s+i]; {
		case e.link != none:
			beside[i] = string(t.nameOf(e.link))
		case e.knot:
			beside[i] = "its knot"
		default:
			return
		}
	}
	t.breach(ruleOnce, "%s has no free tail, it lies between %s and %s", t.bed.strands[s].name, beside[0], beside[1])
}

// gripped says what grips a strand.
func (t *Table) gripped(s int) {
	for i, c := range t.clamps {
		if c.grips(s) {
			t.breach(ruleStock, "%s still grips %s", plan.Clamps()[i], t.place(c))
		}
	}
	t.inGripper(s)
}

// inGripper says that the gripper still pulls a strand.
func (t *Table) inGripper(s int) {
	if t.pulls(s) {
		t.breach(ruleStock, "the gripper still pulls %s", t.nameOf(t.gripper))
	}
}

// remove takes a strand out of its holes and off its string, with the runs outside it and whatever grips it. When it is cut, a
// clamp of a rail stays where it stands.
func (t *Table) remove(s int, cut bool) {
	for i, c := range t.clamps {
		if !c.grips(s) {
			continue
		}
		stub := t.ends[c.end].hole
		if t.off(i); cut && i != starting && c.pair == none {
			c.stub = stub
			t.clamps[i] = c
		}
	}
	if t.pulls(s) {
		t.release()
	}
	t.part(s)
	t.uncount(s)
	for _, e := range ends(s) {
		if next := t.ends[e].link; next != none {
			t.uncover(t.between(e, next))
			t.ends[next].link, t.ends[next].tense = none, false
			if t.spans[next/2].tense && t.ends[next].holds == 0 {
				t.loosenFrom(next)
			}
			if free := t.ends[e^1].short; free > 0 {
				t.ends[next].short = free + 1
			}
		}
		t.leaves(e)
		if t.ends[e].hole == t.ends[e].home {
			t.holes[t.ends[e].home].due++
		}
	}
	t.spans[s] = span{}
	t.ends[2*s], t.ends[2*s+1] = end{link: none}, end{link: none}
	if s == t.bed.first() {
		t.finished = false
	}
	t.restartEmptyPiece(s)
}

// restartEmptyPiece lets a piece begin anew when its last strand is out; without crosses nothing is known of the weave.
func (t *Table) restartEmptyPiece(s int) {
	i, _ := t.piece(s)
	pieceLeft, kindLeft := false, false
	for r := range t.spans {
		if t.spans[r].laid {
			j, _ := t.piece(r)
			pieceLeft = pieceLeft || i == j
			kindLeft = kindLeft || t.kind(r) == t.kind(s)
		}
	}
	if !pieceLeft {
		t.pieces[i] = piece{}
	}
	if !kindLeft && t.kind(s) == 1 {
		for m := range t.weave {
			t.weave[m] = none
		}
	}
}

// leaves takes an end's strand out of its hole.
func (t *Table) leaves(e int) {
	if !t.ends[e].kept {
		t.holes[t.ends[e].hole].strands--
	}
}
