package referee

import "pullcard/sequence/plan"

// lay threads a main or weaves a cross.
func (t *Table) lay(op *plan.Op) {
	s := t.strand(op.Strand, ruleOnce)
	if s == none {
		return
	}
	if t.spans[s].laid {
		t.breach(ruleOnce, "%s is laid already", op.Strand)
		return
	}
	from, to := t.bed.hole(op.From), t.bed.hole(op.To)
	if own := t.bed.strands[s].ends; [2]int{from, to} != own && [2]int{to, from} != own {
		t.breach(ruleHole, "%s lies between %s and %s, not between %q and %q",
			op.Strand, t.bed.name(own[0]), t.bed.name(own[1]), op.From, op.To)
		return
	}
	t.blocked(op, from, to)
	t.fill(from)
	t.fill(to)
	t.checkLayOrder(op, s)
	t.turn++
	t.spans[s].laid, t.spans[s].nth = true, t.turn
	t.where.lays = true
	t.ends[2*s].hole, t.ends[2*s+1].hole = from, to
	t.ends[2*s].home, t.ends[2*s+1].home = from, to
	t.covers(op.Covers, t.follow(op, s))
	if t.kind(s) == 0 {
		t.threaded(op, s)
	} else {
		t.woven(op, s)
	}
}

// fill puts a strand into a hole.
func (t *Table) fill(pos int) {
	t.comes(pos)
	h := &t.holes[pos]
	if h.split {
		t.breach(ruleHole, "%s is split, no strand goes through it", t.bed.name(pos))
	}
	most := 1
	if h.shared {
		most = 2
	}
	if h.strands > most {
		t.breach(ruleHole, "%s would carry %d strands, it has room for %d", t.bed.name(pos), h.strands, most)
	}
}

// comes puts a strand into a hole of its own, whatever is there.
func (t *Table) comes(pos int) {
	h := &t.holes[pos]
	h.due--
	h.strands++
	h.told, h.scrap = false, h.scrap && h.due > 0
}

// piece returns the index and the name of the piece that a strand is laid with.
func (t *Table) piece(s int) (int, plan.Piece) {
	switch {
	case t.bed.terms.Pieces == 1:
		return 0, plan.PieceWhole
	case t.kind(s) == 0:
		return 0, plan.PieceMains
	}
	return 1, plan.PieceCrosses
}

// follow joins a strand to the line of its piece and returns the run outside that this makes.
func (t *Table) follow(op *plan.Op, s int) run {
	i, name := t.piece(s)
	if op.Piece != name {
		t.breach(ruleOnce, "%s belongs to piece %q, not %q", op.Strand, name, op.Piece)
	}
	first := !t.pieces[i].begun
	t.pieces[i].begun = true
	t.started(op, s)
	if op.After == "" {
		if !first {
			t.breach(ruleOnce, "piece %q has begun already, %s must follow a strand", name, op.Strand)
		}
		return run{}
	}
	a := t.strand(op.After, ruleOnce)
	if a == none {
		return run{}
	}
	if j, _ := t.piece(a); j != i || a == s || !t.spans[a].laid {
		t.breach(ruleOnce, "%s cannot follow %s, which is not laid with this piece", op.Strand, op.After)
		return run{}
	}
	tail := t.tail(a, t.ends[2*s].hole)
	if tail == none {
		t.breach(ruleOnce, "%s cannot follow %s, which has no tail left", op.Strand, op.After)
		return run{}
	}
	return t.join(tail, 2*s)
}

// tail returns the end of a strand from which a free tail hangs, the one nearer to a hole if there are two, or none.
func (t *Table) tail(s, to int) int {
	best := none
	for _, e := range ends(s) {
		if t.ends[e].link != none || t.ends[e].knot || t.ends[e].short == 1 {
			continue
		}
		if best == none || t.bed.distance(t.ends[e].hole, to) <= t.bed.distance(t.ends[best].hole, to) {
			best = e
		}
	}
	return best
}

// join makes the run outside from a tail's end to the end by which the next strand enters.
func (t *Table) join(tail, enter int) run {
	if tail == t.gripper {
		t.breach(ruleStock, "the gripper has hold of the string outside %s that is to be laid", t.holeOf(tail))
	}
	if t.ends[tail].late && t.bed.terms.Ahead && t.kind(tail/2) == 1 && t.kind(enter/2) == 1 {
		t.breach(ruleAhead, "%s must be woven before %s is pulled", t.nameOf(enter), t.nameOf(tail))
	}
	t.ends[tail].link, t.ends[enter].link = enter, tail
	t.ends[enter^1].short = max(t.ends[tail].short-1, 0)
	if t.centreLoop(tail, enter) {
		t.loops(tail)
		return t.between(tail, enter)
	}
	return t.outside(t.ends[tail].hole, t.ends[enter].hole)
}

// centreLoop says whether the run between two ends is the loop that joins the two centre mains.
func (t *Table) centreLoop(a, b int) bool {
	left, right := min(a, b)/2, max(a, b)/2
	return right == t.bed.lefts && left == right-1 && right < t.bed.mains &&
		(t.ends[a].home == t.bed.strands[a/2].ends[0]) == (t.ends[b].home == t.bed.strands[b/2].ends[0])
}

// started ties a strand that begins a piece to its starting knot.
func (t *Table) started(op *plan.Op, s int) {
	i := t.startOf(s)
	if i == none {
		return
	}
	k := &t.knots[i]
	if op.After != "" || k.out != t.ends[2*s].hole {
		t.breach(ruleKnot, "%s must come from its starting knot and enter at %s", op.Strand, t.bed.name(k.out))
		return
	}
	k.end = 2 * s
	t.ends[k.end].knot = true
	if !k.slipped {
		t.hold(k.end)
	}
}

// threaded checks that a main finds no crosses in its way.
func (t *Table) threaded(op *plan.Op, s int) {
	if op.Op != plan.Thread {
		t.breach(ruleWeave, "%s is a main, it is threaded and not woven", op.Strand)
	}
	for c := t.bed.mains; c < len(t.bed.strands); c++ {
		if t.spans[c].laid && t.bed.meeting(c, s).meet {
			t.breach(ruleWeave, "%s meets %s, which is woven already: a main cannot be woven in",
				op.Strand, t.bed.strands[c].name)
			return
		}
	}
}
