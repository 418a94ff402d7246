package referee

import "pullcard/sequence/plan"

// tie knots a tail, or makes a starting knot before its strand is laid.
func (t *Table) tie(op *plan.Op) {
	t.needs("knot", op.Knot)
	s := t.strand(op.Strand, ruleKnot)
	if s == none {
		return
	}
	out, at := t.bed.hole(op.Out), t.bed.hole(op.Hole)
	if own := t.bed.strands[s].ends; out == 0 || out != own[0] && out != own[1] {
		t.breach(ruleKnot, "%s does not pass hole %q", op.Strand, op.Out)
		return
	}
	if at == 0 {
		t.breach(ruleKnot, "the frame has no hole %q", op.Hole)
		return
	}
	if t.spans[s].laid {
		t.tieTail(op, s)
	} else {
		t.tieStart(op, s, out)
	}
	t.site(op, s, out, at)
	t.covers(op.Covers, t.outside(out, at))
	i, _ := t.piece(s)
	t.pieces[i].knots++
	t.totals.Knots++
	t.holes[at].knots++
	t.holes[at].tails++
}

// tieTail lets the knot hold the strand's end.
func (t *Table) tieTail(op *plan.Op, s int) {
	e := t.end(op.Strand, op.Out, ruleKnot)
	switch {
	case t.ends[e].knot:
		t.breach(ruleKnot, "the tail outside %s is tied already", op.Out)
	case t.ends[e].link != none:
		t.breach(ruleKnot, "no tail leaves at %s, the string goes on to %s", op.Out, t.nameOf(t.ends[e].link))
		return
	case !t.spans[s].tense:
		t.breach(ruleKnot, "%s is slack", op.Strand)
	case e == t.gripper:
		t.breach(ruleKnot, "the gripper has hold of the tail outside %s", op.Out)
	case t.clamps[starting].on && t.clamps[starting].outside && t.clamps[starting].end == e:
		t.breach(ruleKnot, "S sits on the tail outside %s", op.Out)
	}
	t.ends[e].knot = true
	t.hold(e)
}

// tieStart remembers where the string of a starting knot will enter.
func (t *Table) tieStart(op *plan.Op, s, out int) {
	terms := t.bed.terms
	if terms.Pieces != 2 || terms.Start != "knot" || s != t.bed.first() {
		t.breach(ruleKnot, "%s is not laid yet, and the technique has no starting knot for it", op.Strand)
	} else if t.spans[s].start != 0 {
		t.breach(ruleKnot, "%s has its starting knot already", op.Strand)
	}
	t.spans[s].start = out
}

// site checks the hole and the strand that carry a knot.
func (t *Table) site(op *plan.Op, s, out, at int) {
	if !t.listed(s, at) {
		t.breach(ruleKnot, "%s is no tie-off hole for %s", op.Hole, op.Strand)
	}
	if t.holes[at].knots > 0 {
		t.breach(ruleHole, "%s carries a knot already", op.Hole)
	}
	if a := t.strand(op.Anchor, ruleKnot); a != none && !t.anchors(a, s, at) {
		t.breach(ruleKnot, "%s cannot anchor a knot of %s in %s: it takes another strand through that hole, under tension, "+
			"and a main for a main", op.Anchor, op.Strand, op.Hole)
	}
	for pos := 1; pos < len(t.holes); pos++ {
		if t.serves(s, out, pos) && t.nearer(pos, at, out) {
			t.breach(ruleKnot, "%s is nearer to %s than %s", t.bed.name(pos), op.Out, op.Hole)
			return
		}
	}
}

// listed says whether a hole is a tie-off hole for a strand of this kind.
func (t *Table) listed(s, pos int) bool {
	if t.kind(s) == 0 {
		return t.holes[pos].tieMains
	}
	return t.holes[pos].tieCrosses
}

// anchors says whether strand a in a hole can carry a knot of strand s. A main's knot needs a main.
func (t *Table) anchors(a, s, pos int) bool {
	through := t.ends[2*a].hole == pos || t.ends[2*a+1].hole == pos
	return a != s && t.spans[a].laid && t.spans[a].tense && through && (t.kind(s) == 1 || t.kind(a) == 0)
}

// serves says whether a tail of strand s that leaves at a hole could be tied in another.
func (t *Table) serves(s, out, pos int) bool {
	if !t.listed(s, pos) || t.holes[pos].knots > 0 || !t.bed.sameSide(out, pos) {
		return false
	}
	for a := range t.spans {
		if t.anchors(a, s, pos) {
			return true
		}
	}
	return false
}

// nearer says whether a tie-off hole is nearer than another, at a draw nearer the centre.
func (t *Table) nearer(pos, than, out int) bool {
	a, b := along(pos, out).steps, along(than, out).steps
	return a < b || a == b && t.bed.centre(pos) < t.bed.centre(than)
}

// trim cuts what a knot has left over.
func (t *Table) trim(op *plan.Op) {
	if !same(op.TailMM, t.bed.terms.TailMM) {
		t.breach(ruleKnot, "%g mm of tail stay, not %g mm", t.bed.terms.TailMM, op.TailMM)
	}
	pos := t.bed.hole(op.Hole)
	if t.holes[pos].tails == 0 {
		t.breach(ruleKnot, "no knot in %q has a tail to trim", op.Hole)
		return
	}
	t.holes[pos].tails--
}
