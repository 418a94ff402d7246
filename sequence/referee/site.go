package referee

import "pullcard/sequence/plan"

// site checks the hole and the strand that carry a knot.
func (t *Table) site(op *plan.Op, s, out, at int) {
	if h := &t.holes[at]; h.hidden > 0 {
		t.breach(ruleRun, "%s lies under a run since step %d, and no note named it before", op.Hole, h.hidden)
	}
	if t.carries(at) {
		t.breach(ruleHole, "%s carries a knot already", op.Hole)
	}
	if a := t.strand(op.Anchor, ruleKnot); a != none && !t.anchors(a, s, at) {
		t.breach(ruleKnot, "%s cannot anchor a knot of %s in %s: it takes another strand through that hole, under tension, "+
			"and a main for a main", op.Anchor, op.Strand, op.Hole)
	}
	place, chosen := t.goesTo(s, out)
	switch {
	case t.holes[at].split:
		t.breach(ruleKnot, "%s is split, no knot goes there", op.Hole)
	case chosen && place != at:
		t.breach(ruleKnot, "%s was chosen for the knot of %s, not %s", t.bed.name(place), op.Strand, op.Hole)
	case chosen:
		t.suits(op, s, at)
	case !t.listed(s, at):
		t.breach(ruleKnot, "%s is no tie-off hole for %s", op.Hole, op.Strand)
	case place != 0 && t.nearer(place, at, out):
		t.breach(ruleKnot, "%s is nearer to %s than %s", t.bed.name(place), op.Out, op.Hole)
	}
}

// goesTo returns the position in which a tail is tied: the one chosen for a short tail; the nearest tie-off hole that
// serves; or the one chosen in its stead if that is split. It is 0 when there is none. A split hole for which none was
// chosen does not count.
func (t *Table) goesTo(s, out int) (pos int, chosen bool) {
	if at := t.spans[s].knotAt; at != 0 {
		return at, true
	}
	for p := 1; p < len(t.holes); p++ {
		if t.serves(s, out, p) && (pos == 0 || t.nearer(p, pos, out)) {
			pos = p
		}
	}
	for t.holes[pos].split || t.holes[pos].instead != 0 { // a hole is chosen only where nothing is chosen instead of it: it ends
		pos = t.holes[pos].instead
		chosen = pos != 0
	}
	return pos, chosen
}

// suits checks a hole that was chosen: a tie-off hole, or one with a single string in it, a tight main.
func (t *Table) suits(op *plan.Op, s, at int) {
	if h := &t.holes[at]; t.listed(s, at) || h.strands == 1 && h.due == 0 && t.kind(t.through(at)) == 0 {
		return
	}
	t.breach(ruleKnot, "%s is neither a tie-off hole for %s nor one with a main alone in it", op.Hole, op.Strand)
}

// through returns a strand that lies in a hole.
func (t *Table) through(pos int) int {
	for e := range t.ends {
		if t.spans[e/2].laid && t.ends[e].hole == pos {
			return e / 2
		}
	}
	return none
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

// serves says whether a tail of strand s that leaves at a hole could be tied in another, or in what was chosen for that.
func (t *Table) serves(s, out, pos int) bool {
	if !t.listed(s, pos) || !t.bed.sameSide(out, pos) || t.holes[pos].split && t.holes[pos].instead == 0 {
		return false
	}
	if t.holes[pos].instead == 0 && t.carries(pos) {
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

// split takes a hole out of use, unless a sleeve mends it; what is chosen instead is where its knot goes, also when a strand comes into a
// sleeve there later: that leaves no room for a knot.
func (t *Table) split(op *plan.Op) {
	at := t.bed.hole(op.Hole)
	if at == 0 {
		t.breach(ruleHole, "the frame has no hole %q", op.Hole)
		return
	}
	h := &t.holes[at]
	if h.split = op.Choose != "sleeve"; !h.split {
		return
	}
	if h.instead = 0; op.Choose == "" {
		return
	}
	switch to := t.bed.hole(plan.Hole(op.Choose)); {
	case to == 0 || to == at || t.holes[to].split || t.holes[to].instead != 0:
		t.breach(ruleKnot, "%q is no hole in which a knot can go instead", op.Choose)
	case !t.bed.sameSide(at, to):
		t.breach(ruleKnot, "%s is on the other side than %s", op.Choose, op.Hole)
	default:
		h.instead = to
	}
}

// tooShort says what is done about a tail that is too short: a scrap bridges to the gripper, the knot goes into a hole
// that it reaches, or the piece is strung anew.
func (t *Table) tooShort(op *plan.Op) {
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	switch op.Choose {
	case "", "bridge":
	case "new":
		i, _ := t.piece(s)
		t.lose(i)
	default:
		if t.spans[s].knotAt = t.bed.hole(plan.Hole(op.Choose)); t.spans[s].knotAt == 0 {
			t.breach(ruleKnot, "the frame has no hole %q in which the short tail of %s can be tied", op.Choose, op.Strand)
		}
	}
}
