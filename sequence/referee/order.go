package referee

import (
	"strings"

	"pullcard/sequence/plan"
)

// As long as nothing goes wrong a plan keeps the order that its terms promise; in a way back only the lead and what
// holds the string count.

// turns is the order in which the sides are pulled, 0 left and 1 right: both first mains, then in turn. A side runs on
// until it leads by as many as the terms allow or has no main left; where the sides level up, the one that is behind runs
// until it is level.
func (b *bed) takeTurns() []int {
	most := [2]int{b.lefts, b.mains - b.lefts}
	if outer := b.outer(); outer != none {
		most[b.side(outer)]--
	}
	side := map[string]int{"L": 0, "R": 1}[b.terms.First]
	var turns []int
	var pulled [2]int
	pull := func(side, until int) {
		for ; pulled[side] < min(until, most[side]); pulled[side]++ {
			turns = append(turns, side)
		}
	}
	pull(side, 1)
	pull(1-side, 1)
	// Where one side has many more mains than the other the lead ends it: the rest is in no order that keeps it.
	for range b.mains { // at each but the last two turns some are pulled
		until := pulled[1-side]
		if b.terms.Then != "level" || pulled[side] >= until {
			until += b.terms.Lead
		}
		pull(side, until)
		side = 1 - side
	}
	return turns
}

// outer is the short side's outermost main, which the long side strings on its way around, or none.
func (b *bed) outer() int {
	if b.terms.Pieces != 1 || !b.terms.Around {
		return none
	}
	if b.terms.Short == "L" {
		return 0
	}
	return b.mains - 1
}

// side is 0 for a main of the left side, 1 for one of the right side.
func (b *bed) side(main int) int {
	if main < b.lefts {
		return 0
	}
	return 1
}

// checkLayOrder checks the order in which a strand is laid: the side of the first cross, and one cross at a time where none is
// woven ahead.
func (t *Table) checkLayOrder(op *plan.Op, s int) {
	if t.astray || t.kind(s) == 0 {
		return
	}
	terms := t.bed.terms
	if terms.Pieces == 2 && s == t.bed.first() {
		start := t.beginsAt(op.From, op.To, s == t.bed.skipped())
		if t.bed.onLeft(start) != (terms.Side == "L") {
			t.breach(ruleOrder, "the crosses' string starts on side %s, not at %s", terms.Side, t.bed.name(start))
		}
	}
	a := t.bed.find(op.After)
	if !terms.Ahead && a != none && t.kind(a) == 1 && !t.spans[a].pulled && s != t.bed.skipped() && !t.paired(a) {
		t.breach(ruleAhead, "%s is woven before %s is pulled, and the technique does not weave ahead", op.Strand, op.After)
	}
}

// beginsAt is the position at which a strand begins its string, the other one if it is doubled back.
func (t *Table) beginsAt(from, to plan.Hole, back bool) int {
	if back {
		return t.bed.hole(to)
	}
	return t.bed.hole(from)
}

// paired says whether a cross is the first of two that flying clamps let be pulled together.
func (t *Table) paired(s int) bool { return t.bed.flying() && s == t.bed.first() }

// loops checks at which end the two centre mains loop.
func (t *Table) loops(tail int) {
	end := "throat"
	if t.ends[tail].hole == t.bed.strands[tail/2].ends[0] {
		end = "head"
	}
	if want := t.bed.terms.MainsStart; end != want && !t.astray {
		t.breach(ruleOrder, "the centre mains loop at the %s, not at the %s", want, end)
	}
}

// checkFirstFace checks how the first cross woven passes the first main that it meets.
func (t *Table) checkFirstFace(op *plan.Op, s int) {
	want := t.bed.terms.FirstFace
	if want == "" || op.First == want {
		return
	}
	for c := t.bed.mains; c < len(t.spans); c++ {
		if c != s && t.spans[c].laid {
			return
		}
	}
	t.breach(ruleWeave, "the first cross woven passes its first main %s, not %s", want, op.First)
}

// checkPullOrder checks the order of the pulls.
func (t *Table) checkPullOrder(op *plan.Op, e int) {
	s := e / 2
	switch {
	case t.astray:
	case op.Repull:
		if t.again(op, e) && !t.finished {
			t.repulls()
		}
	case t.kind(s) == 0:
		t.mainsInTurn(op, s)
	default:
		t.crossesInTurn(op, s)
	}
}

// mainsInTurn checks whose turn it is. Before the first pull S stands behind the clamp that holds the loop.
func (t *Table) mainsInTurn(op *plan.Op, s int) {
	if s == t.bed.outer() {
		return
	}
	done := t.tight[0]
	if done == 0 && t.bed.terms.Starting == 1 {
		t.loopHeld()
	}
	order := []int{s}
	if a := t.bed.find(op.Also); a != none && t.kind(a) == 0 {
		order = []int{a, s}
	}
	turns := t.bed.turns[min(done, len(t.bed.turns)):]
	for i, m := range order {
		if i >= len(turns) || turns[i] != t.side(m) {
			t.breach(ruleOrder, "it is not the turn of %s: %s goes first and leads by %d, then %s", t.bed.strands[m].name,
				t.bed.terms.First, t.bed.terms.Lead, t.bed.terms.Then)
			return
		}
	}
}

// loopHeld checks how S helps to hold the first main: behind the clamp that holds the centre loop; with flying clamps,
// which cannot grip one strand alone, outside the main that is pulled along.
func (t *Table) loopHeld() {
	s := t.clamps[starting]
	switch {
	case t.bed.flying() && !s.outside:
		t.breach(ruleOrder, "S does not stand outside the first main, which flying clamps cannot hold")
	case !t.bed.flying() && !t.backed():
		t.breach(ruleOrder, "S does not stand behind the clamp that holds the centre loop")
	}
}

// backed says whether S stands inside the hoop behind another clamp, at one end.
func (t *Table) backed() bool {
	s := t.clamps[starting]
	for _, c := range t.clamps[:starting] {
		if s.on() && !s.outside && c.end == s.end {
			return true
		}
	}
	return false
}

// crossesInTurn checks that crosses are pulled from the end where they begin, and how the first is held.
func (t *Table) crossesInTurn(op *plan.Op, s int) {
	done := 0
	for c := t.bed.mains; c < len(t.spans); c++ {
		if t.spans[c].pulled {
			done++
		}
	}
	if want := t.nextCross(done); s != want && !(t.paired(want) && t.bed.find(op.Also) == want) {
		name := plan.Strand("none of them")
		if want != none {
			name = t.bed.strands[want].name
		}
		t.breach(ruleOrder, "it is the turn of %s, not of %s", name, op.Strand)
	}
	if done == 0 && t.bed.terms.Pieces == 2 {
		t.startHeld(op, s)
	}
}

// nextCross is the cross whose turn it is when so many are pulled, or none.
func (t *Table) nextCross(done int) int {
	n := len(t.spans) - t.bed.mains
	if done >= n {
		return none
	}
	outer := t.bed.outer()
	switch {
	case outer != none && !t.spans[outer].pulled:
		return t.row(n - 1 - done)
	case outer != none: // those at the far end are pulled already
		for i := range n {
			if c := t.row(i); !t.spans[c].pulled {
				return c
			}
		}
	case t.bed.skipped() != none:
		return t.row((done + 1) % n)
	}
	return t.row(done)
}

// row is the i-th cross from the end where the crosses begin, from 0.
func (t *Table) row(i int) int {
	if t.bed.terms.From == "throat" {
		return len(t.spans) - 1 - i
	}
	return t.bed.mains + i
}

// startHeld checks what holds the crosses' string at its start: S outside, or a starting knot.
func (t *Table) startHeld(op *plan.Op, s int) {
	first := t.bed.first()
	if t.bed.terms.Start == "knot" {
		if !t.tied(2 * first) {
			t.breach(ruleOrder, "%s is pulled without the starting knot that the technique has", op.Strand)
		}
		return
	}
	if t.bed.terms.Start == "skip" {
		first = s
	}
	if c := t.clamps[starting]; !c.outside || c.end != 2*first {
		t.breach(ruleOrder, "%s is pulled while S does not stand outside the start of %s", op.Strand, t.bed.strands[first].name)
	}
}

// repulls checks when the first cross's tail is pulled again: after the third cross, where two clamps are free for it, or
// at the end.
func (t *Table) repulls() {
	done, all := 0, len(t.spans)-t.bed.mains
	for c := t.bed.mains; c < len(t.spans); c++ {
		if t.spans[c].pulled {
			done++
		}
	}
	want := all
	if t.bed.terms.Repull == "third" && t.bed.terms.CrossClamps == 2 {
		want = min(3, all)
	}
	if done != want {
		t.breach(ruleOrder, "the first cross's tail is pulled again after %d crosses, not after %d", want, done)
	}
}

// leapfrog checks that the clamp of the cross pulled before stays on till the next is clamped where two clamps are free
// for the crosses, and comes off before where there is one.
func (t *Table) leapfrog(i, e int) {
	if t.astray || i == starting || t.gripper == none || t.pulling.again || t.kind(e/2) == 0 || e != t.gripper {
		return
	}
	switch n := t.standingClamps(); {
	case t.bed.terms.CrossClamps == 1 && n > 0:
		t.breach(ruleOrder, "one clamp is free for the crosses, it is moved while the gripper pulls %s", t.nameOf(e))
	case t.bed.terms.CrossClamps == 2 && n != t.pulling.stood:
		t.breach(ruleOrder, "two clamps are free for the crosses, the old one comes off only when %s is clamped", t.nameOf(e))
	}
}

// reads notes that the printed range was looked at.
func (t *Table) reads(text string) {
	t.ranged = t.ranged || strings.Contains(text, t.bed.terms.PrintedRange)
}

// readRange checks that the range printed on the frame is looked at before any string is handled.
func (t *Table) readRange() {
	if want := t.bed.terms.PrintedRange; want != "" && !t.strung && !t.ranged {
		t.breach(ruleOrder, "nobody has looked at the printed range, %s, before string is handled", want)
	}
}
