package referee

import "pullcard/sequence/plan"

// cut cuts a strand out. With the first cut its piece is lost; that cut has to come before the clamps come off, since
// until then they hold tension, so a clamp on this strand comes away with it. Later cuts find their strand free.
func (t *Table) cut(op *plan.Op) {
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	t.disorder()
	if i, _ := t.piece(s); !t.pieces[i].lost {
		t.inGripper(s)
		t.lose(i)
	} else {
		t.gripped(s)
	}
	t.evenly(s)
	for i := len(t.knots) - 1; i >= 0; i-- {
		// A starting knot whose strand is not laid has nothing left to sit on.
		if k := t.knots[i]; k.strand == s || k.anchor == s && k.end == none {
			t.open(i)
		}
	}
	t.remove(s)
	t.lastCut = t.kind(s)
}

// left says whether a strand of a kind is still to be cut out.
func (t *Table) left(kind int) bool {
	for s := range t.spans {
		if t.spans[s].laid && t.kind(s) == kind {
			i, _ := t.piece(s)
			return t.pieces[i].lost || t.cracked
		}
	}
	return false
}

// evenly checks that a cut keeps the load even: mains and crosses in turn while both have to go, of the mains none
// before one that is nearer to the centre, of the crosses a middle one of those that are left.
func (t *Table) evenly(s int) {
	name := t.bed.strands[s].name
	if kind := t.kind(s); t.lastCut == kind && t.left(1-kind) {
		t.breach(ruleEnd, "mains and crosses are cut in turn, it is not the turn of %s", name)
	}
	if t.kind(s) == 0 {
		for m := range t.bed.mains {
			if t.spans[m].laid && t.bed.strands[m].number < t.bed.strands[s].number {
				t.breach(ruleEnd, "%s is nearer to the centre than %s", t.bed.strands[m].name, name)
				return
			}
		}
		return
	}
	above, below := 0, 0
	for c := t.bed.mains; c < len(t.spans); c++ {
		switch {
		case !t.spans[c].laid:
		case c < s:
			above++
		case c > s:
			below++
		}
	}
	if max(above-below, below-above) > 1 {
		t.breach(ruleEnd, "%s is not the middle one: %d crosses are left above it and %d below", name, above, below)
	}
}
