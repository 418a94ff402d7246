package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// strays puts the end of a strand into the wrong hole in which it was found. Runs and knots lie from there on. An older plan does
// not say which end.
func (t *Table) strays(op *plan.Op) {
	pos := t.bed.hole(op.Hole)
	if pos == 0 {
		t.breach(ruleHole, "the frame has no hole %q", op.Hole)
		return
	}
	if op.From == "" {
		return
	}
	s, from := t.bed.find(op.Strand), t.bed.hole(op.From)
	for _, e := range ends(s) {
		if t.ends[e].hole == pos && (t.ends[e].home == from || t.ends[e^1].hole == from) {
			return // it is there already
		}
	}
	e := t.end(op.Strand, op.From, ruleHole)
	if e == none {
		return
	}
	if t.leaves(e); t.ends[e].hole == t.ends[e].home {
		t.holes[t.ends[e].home].due++
	}
	t.shift(e, pos)
	if t.ends[e].kept = false; pos != t.ends[e].home {
		t.holes[pos].strands++
	} else {
		t.comes(pos) // whoever is there by mistake
	}
}

// shift lays the runs of an end anew, which is in another hole from now on.
func (t *Table) shift(e, pos int) {
	next := t.ends[e].link
	if next != none {
		t.uncover(t.between(e, next))
	}
	for i := range t.knots {
		if k := &t.knots[i]; k.end == e {
			t.uncover(t.bed.run(k.out, k.at))
			k.out = pos
			t.lies(t.bed.run(k.out, k.at))
		}
	}
	if t.ends[e].hole = pos; next != none {
		t.lies(t.between(e, next))
	}
}

// lies puts a run over the holes between its ends that nobody meant to lay there.
func (t *Table) lies(u run) {
	for i := 1; i < u.steps; i++ {
		t.holes[t.bed.under(u, i)].over++
	}
}

// move takes the end of a slack strand from which a free tail hangs out of a wrong hole and feeds it through its own.
func (t *Table) move(op *plan.Op) {
	e := t.end(op.Strand, op.From, ruleHole)
	if e == none {
		return
	}
	s, to := e/2, t.bed.hole(op.To)
	switch next := t.ends[e].link; {
	case t.ends[e].hole == t.ends[e].home || to != t.ends[e].home:
		t.breach(ruleHole, "%s does not move from %s to %q: it belongs into %s there", op.Strand, op.From, op.To, t.bed.name(t.ends[e].home))
		return
	case t.spans[s].tense:
		t.breach(ruleOnce, "%s is tensioned, its end cannot be moved", op.Strand)
	case next != none:
		t.breach(ruleOnce, "no free tail hangs at %s, the string goes on to %s", op.From, t.nameOf(next))
	case t.ends[e].knot:
		t.breach(ruleKnot, "the tail at %s is tied", op.From)
	case t.clamped(e) || t.gripper == e:
		t.breach(ruleStock, "%s is held at %s while its end is moved", op.Strand, op.From)
	}
	t.blocked(op, to, to)
	t.leaves(e)
	t.shift(e, to)
	t.ends[e].kept = false
	t.fill(to)
	if other := t.ends[e^1]; other.hole == other.home || other.kept {
		t.spans[s].wrong &^= wrongHole
	}
}

// keeps makes the wrong hole in which a strand stays by name its own: the layout has it there from now on. The frame must have room
// for it there, no strand may pass another, and what is woven must meet what it met.
func (t *Table) keeps(op *plan.Op, s int) {
	e := t.end(op.Strand, op.To, ruleHole)
	if e == none {
		return
	}
	from, to := t.bed.hole(op.From), t.bed.hole(op.To)
	if t.ends[e].hole == t.ends[e].home || t.ends[e].home != from || t.ends[e].kept {
		t.breach(ruleHole, "%s is not in %s by mistake, where it belongs into %q", op.Strand, op.To, op.From)
		return
	}
	if !t.bed.sameSide(from, to) {
		t.breach(ruleHole, "%s does not stay in %s: that is on the other side than %s", op.Strand, op.To, op.From)
		return
	}
	if others := t.owners(to); len(others) > 1 || len(others) == 1 && t.kind(others[0]) == t.kind(s) {
		t.breach(ruleHole, "%s does not stay in %s, which is the hole of %s", op.Strand, op.To, t.bed.strands[others[0]].name)
		return
	} else {
		t.holes[from].shared, t.holes[to].shared = false, len(others) == 1
	}
	was := t.bed
	t.bed = was.with(s, from, to)
	t.bed.cross()
	for x := range t.bed.strands {
		if t.kind(x) == t.kind(s) && interleave(t.bed.strands[x].ends, t.bed.strands[s].ends) {
			t.breach(ruleHole, "%s does not stay in %s, where it crosses %s", op.Strand, op.To, t.bed.strands[x].name)
		}
	}
	t.rewoven(op, was)
	t.holes[from].due--
	t.ends[e].home = to
	if other := t.ends[e^1]; other.hole == other.home || other.kept {
		t.spans[s].wrong &^= wrongHole
	}
}

// rewoven checks that what is woven meets what it met in another bed, and that over and under still alternate where crosses that
// are to come meet others than they did.
func (t *Table) rewoven(op *plan.Op, was *bed) {
	for m := range t.bed.mains {
		shift := none
		for c := t.bed.mains; c < len(t.spans); c++ {
			now, before := t.bed.meeting(c, m), was.meeting(c, m)
			if !t.spans[c].laid || !t.spans[m].laid || !now.meet && !before.meet {
				continue
			}
			by := (now.down + before.down) % 2
			if now.meet != before.meet || shift != none && by != shift {
				t.breach(ruleWeave, "with %s in %s %s and %s are not woven as they lie", op.Strand, op.To, t.bed.strands[c].name, t.bed.strands[m].name)
			}
			shift = by
		}
		if shift == 1 && t.weave[m] != none {
			t.weave[m] = 1 - t.weave[m]
		}
	}
}

// owners are the strands that a hole belongs to.
func (t *Table) owners(pos int) (out []int) {
	for s := range t.bed.strands {
		if own := t.bed.strands[s].ends; own[0] == pos || own[1] == pos {
			out = append(out, s)
		}
	}
	return out
}

// with is the bed with an end of a strand in another hole, its crossings not found yet.
func (b *bed) with(s, from, to int) *bed {
	out := *b
	out.strands, out.crossings = slices.Clone(b.strands), nil
	for i := range out.strands[s].ends {
		if out.strands[s].ends[i] == from {
			out.strands[s].ends[i] = to
		}
	}
	return &out
}
