package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// cut cuts a strand out. The string goes slack up to what holds next each way; with the first cut the piece is lost. A
// clamp on the strand comes off before, unless it grips tight string that no other cut could free: then one of a rail stays there and
// comes off next, and a loose one comes away.
func (t *Table) cut(op *plan.Op) {
	s := t.laid(op.Strand, ruleOnce)
	if s == none {
		return
	}
	t.disorder()
	if i, _ := t.piece(s); !t.pieces[i].lost {
		t.lose(i)
	}
	t.inGripper(s)
	t.comesAway(s)
	t.checkCutOrder(s)
	for i := len(t.knots) - 1; i >= 0; i-- {
		// A starting knot whose strand is not laid has nothing left to sit on.
		if k := t.knots[i]; k.strand == s || k.anchor == s && k.end == none {
			t.open(i)
		}
	}
	var also []int // where clamps held that come away with it
	for _, c := range t.clamps {
		if c.grips(s) {
			also = append(also, c.ends()...)
		}
	}
	t.remove(s, true)
	for _, e := range also {
		if t.spans[e/2].laid {
			t.slip(t.give(e))
		}
	}
	t.lastCut = t.kind(s)
}

// comesAway checks that the clamps on a strand could not come off before it is cut.
func (t *Table) comesAway(s int) {
	for i, c := range t.clamps {
		if !c.grips(s) {
			continue
		}
		idle, bears := true, []int(nil)
		for _, e := range c.ends() {
			tight := t.spans[e/2].tense || t.ends[e].tense
			if c.slipped || t.sound(e) > max(1, t.ownClamps(e)) || !tight && t.hangs(e) == none {
				continue
			}
			idle = false
			if !tight || t.spans[e/2].tense != t.ends[e].tense {
				bears = append(bears, e)
			}
		}
		if idle {
			t.breach(ruleStock, "%s still grips %s", plan.Clamps()[i], t.place(c))
		} else if len(bears) == 1 {
			if r := t.frees(bears[0], s); r != none {
				t.breach(ruleStock, "%s still grips %s, and a cut of %s would let it come off before", plan.Clamps()[i], t.place(c), t.bed.strands[r].name)
			}
		}
	}
}

// sound is how much holds at an end beside the corners there.
func (t *Table) sound(e int) int {
	if t.ends[e].corner {
		return t.ends[e].holds - 1
	}
	return t.ends[e].holds
}

// ownClamps is how many clamps stand on a strand itself at an end, and hold.
func (t *Table) ownClamps(e int) (n int) {
	for _, c := range t.clamps {
		if c.end == e && !c.slipped {
			n++
		}
	}
	return n
}

// frees returns a strand, other than the one given, in no clamp, whose turn it is to be cut and whose cut leaves nothing tight
// beside an end, or none.
func (t *Table) frees(e, s int) int {
	tight := t.cell(e)
	for _, near := range t.beside(e) {
		for _, end := range t.beside(near ^ 1) {
			x := end / 2
			held := t.pulls(x) || slices.ContainsFunc(t.clamps[:], func(c clamp) bool { return c.grips(x) })
			if x != s && !held && (len(tight) == 0 || slices.Contains(tight, x)) && t.turnOf(x) {
				return x
			}
		}
	}
	return none
}

// turnOf says whether a cut of a strand would be even.
func (t *Table) turnOf(s int) bool {
	n := len(t.found)
	t.checkCutOrder(s)
	even := len(t.found) == n
	t.found = t.found[:n]
	return even
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

// checkCutOrder checks that a cut keeps the load even: mains and crosses in turn while both have to go, of the mains none
// before one that is nearer to the centre, of the crosses a middle one of those that are left.
func (t *Table) checkCutOrder(s int) {
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
