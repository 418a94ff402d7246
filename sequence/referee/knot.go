package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// knot is a tail that is tied in a tie-off hole.
type knot struct {
	strand, anchor   int // anchor is none after a breach
	out, at          int // the positions between which its run lies
	end              int // the end that it holds, or none; a starting knot's strand may not be laid
	start            bool
	trimmed, slipped bool
}

// tie knots a tail, or makes a starting knot before its strand is laid.
func (t *Table) tie(op *plan.Op) {
	t.needs("knot", op.Knot)
	s := t.strand(op.Strand, ruleKnot)
	if s == none {
		return
	}
	out, at := t.bed.hole(op.Out), t.bed.hole(op.Hole)
	own := t.bed.strands[s].ends
	if t.spans[s].laid { // an end may be in a wrong hole
		own = [2]int{t.ends[2*s].hole, t.ends[2*s+1].hole}
	}
	if out != own[0] && out != own[1] {
		t.breach(ruleKnot, "%s does not pass hole %q", op.Strand, op.Out)
		return
	}
	if at == 0 {
		t.breach(ruleKnot, "the frame has no hole %q", op.Hole)
		return
	}
	k := knot{strand: s, anchor: t.bed.find(op.Anchor), out: out, at: at, end: none, start: !t.spans[s].laid}
	if k.start {
		t.tieStart(op, s)
	} else {
		k.end = t.tieTail(op, s)
		if want := t.bed.terms.Knot; op.Knot != want && op.Knot != "" {
			t.breach(ruleKnot, "tails are tied with a %s, not with a %s", want, op.Knot)
		}
	}
	t.site(op, s, out, at)
	t.covers(op.Covers, t.outside(out, at))
	t.knots = append(t.knots, k)
}

// tieTail lets the knot hold the strand's end, which it returns, or none where there is no tail.
func (t *Table) tieTail(op *plan.Op, s int) int {
	e := t.end(op.Strand, op.Out, ruleKnot)
	switch {
	case t.ends[e].knot:
		t.breach(ruleKnot, "the tail outside %s is tied already", op.Out)
	case t.ends[e].link != none:
		t.breach(ruleKnot, "no tail leaves at %s, the string goes on to %s", op.Out, t.nameOf(t.ends[e].link))
		return none
	case t.ends[e].short == 1:
		t.breach(ruleKnot, "the tail outside %s is trimmed, it is too short for a knot", op.Out)
	case !t.spans[s].tense:
		t.breach(ruleKnot, "%s is slack", op.Strand)
	case e == t.gripper:
		t.breach(ruleKnot, "the gripper has hold of the tail outside %s", op.Out)
	case t.clamps[starting].outside && t.clamps[starting].end == e:
		t.breach(ruleKnot, "S sits on the tail outside %s", op.Out)
	}
	t.ends[e].knot = true
	t.hold(e)
	return e
}

// tieStart checks that there may be a starting knot.
func (t *Table) tieStart(op *plan.Op, s int) {
	terms := t.bed.terms
	if terms.Pieces != 2 || terms.Start != "knot" || s != t.bed.first() {
		t.breach(ruleKnot, "%s is not laid yet, and the technique has no starting knot for it", op.Strand)
	} else if t.startOf(s) != none {
		t.breach(ruleKnot, "%s has its starting knot already", op.Strand)
	}
}

// startOf returns the starting knot from which a strand that is not laid will come, or none.
func (t *Table) startOf(s int) int {
	return slices.IndexFunc(t.knots, func(k knot) bool { return k.strand == s && k.start && k.end == none })
}

// carries says whether a hole carries a knot.
func (t *Table) carries(pos int) bool {
	return slices.ContainsFunc(t.knots, func(k knot) bool { return k.at == pos })
}

// tied says whether a knot holds an end.
func (t *Table) tied(e int) bool {
	return slices.ContainsFunc(t.knots, func(k knot) bool { return k.end == e && !k.slipped })
}

// trim cuts what a knot has left over.
func (t *Table) trim(op *plan.Op) {
	if !same(op.TailMM, t.bed.terms.TailMM) {
		t.breach(ruleKnot, "%g mm of tail stay, not %g mm", t.bed.terms.TailMM, op.TailMM)
	}
	pos := t.bed.hole(op.Hole)
	i := slices.IndexFunc(t.knots, func(k knot) bool { return k.at == pos && !k.trimmed })
	if i == none {
		t.breach(ruleKnot, "no knot in %q has a tail to trim", op.Hole)
		return
	}
	t.knots[i].trimmed = true
}

// untie opens a knot. Where that lets tensioned string go, the string's own boundary says so.
func (t *Table) untie(op *plan.Op) {
	s := t.strand(op.Strand, ruleKnot)
	if s == none {
		return
	}
	out, at := t.bed.hole(op.Out), t.bed.hole(op.Hole)
	i := slices.IndexFunc(t.knots, func(k knot) bool { return k.strand == s && k.out == out && k.at == at })
	if i == none {
		t.breach(ruleKnot, "%s has no knot that leaves at %q and sits in %q", op.Strand, op.Out, op.Hole)
		return
	}
	t.open(i)
}

// open takes a knot and its run away.
func (t *Table) open(i int) {
	k := t.knots[i]
	if k.end != none {
		e := &t.ends[k.end]
		if e.knot = false; k.trimmed {
			e.short = 1
		}
		if !k.slipped {
			t.letGo(k.end)
		}
	}
	t.uncover(t.bed.run(k.out, k.at))
	t.knots = slices.Delete(t.knots, i, i+1)
}

// slipKnot lets a knot slip: it stays where it is and never holds again.
func (t *Table) slipKnot(op *plan.Op) {
	s := t.strand(op.Strand, ruleKnot)
	if s == none {
		return
	}
	at := t.bed.hole(op.Hole)
	i := slices.IndexFunc(t.knots, func(k knot) bool { return k.strand == s && k.at == at && !k.slipped })
	if i == none {
		t.breach(ruleKnot, "%s has no knot that holds in %q", op.Strand, op.Hole)
		return
	}
	k := &t.knots[i]
	k.slipped = true
	if k.end == none {
		return
	}
	t.letGo(k.end)
	t.cornered(k.end)
	t.slip(t.give(k.end))
}

// cornered lets corners and weave hold what lies beyond the strand of a knot that came open. The strands next to it, as many as slack is
// walked out of, lose tension.
func (t *Table) cornered(e int) {
	far := e ^ 1
	next := t.ends[far].link
	if !t.ends[far].tense || t.ends[e].holds > 0 || t.ends[far].holds > 0 || t.ends[next].holds > 0 {
		return
	}
	walk := t.bed.terms.WalkStrands()
	left := [2]int{walk.Mains, walk.Crosses}
	for e := next; e != none; e = t.across(e ^ 1) {
		k := t.kind(e / 2)
		if left[k]--; left[k] <= 0 {
			break
		}
		t.spans[e/2].low = looped
		if t.ends[e^1].holds > 0 {
			break
		}
	}
	t.ends[far].corner = true
	t.hold(far)
}

// drawsThrough lets the gripper draw through the corners between it and what holds.
func (t *Table) drawsThrough() {
	e := t.gripper
	if !t.pulling.outward {
		if t.keeper(e) != none {
			return
		}
		t.uncorner(e) // the gripper holds there now
		e ^= 1
	}
	for e != none {
		t.uncorner(e)
		next := t.ends[e].link
		if next == none || e != t.gripper && t.ends[e].holds > 0 {
			return
		}
		if t.uncorner(next); t.ends[next].holds > 0 {
			return
		}
		e = next ^ 1
	}
}

func (t *Table) uncorner(e int) {
	if t.ends[e].corner {
		t.ends[e].corner = false
		t.letGo(e)
	}
}
