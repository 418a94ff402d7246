package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// clamp is where a clamp stands.
type clamp struct {
	on      bool
	outside bool
	end     int
	pair    int  // the end of the neighbour that a flying clamp grips as well, or none
	slipped bool // it holds nothing until it is set again
}

// grips says whether the clamp is on a strand.
func (c clamp) grips(s int) bool {
	return c.on && (c.end/2 == s || c.pair != none && c.pair/2 == s)
}

// starting is the place of S among the clamps.
const starting = 2

// which returns a clamp's place, or none after a breach.
func (t *Table) which(name plan.Clamp) int {
	for i, c := range plan.Clamps() {
		if c == name {
			return i
		}
	}
	t.breach(ruleStock, "there is no clamp %q", name)
	return none
}

// grab puts a clamp on.
func (t *Table) grab(op *plan.Op) {
	i := t.which(op.Clamp)
	if i == none {
		return
	}
	e := t.end(op.Strand, op.Hole, ruleStock)
	if e == none {
		return
	}
	if t.clamps[i].on {
		t.breach(ruleStock, "%s is on already, at %s", op.Clamp, t.place(t.clamps[i]))
		t.off(i)
	}
	if op.Outside && i != starting {
		t.breach(ruleStock, "%s grips inside the hoop only", op.Clamp)
	}
	if op.Outside && t.ends[e].short == 1 {
		t.breach(ruleStock, "the tail outside %s is trimmed, it is too short for %s", op.Hole, op.Clamp)
	}
	c := clamp{on: true, outside: op.Outside, end: e, pair: none}
	if t.bed.flying() && i != starting {
		if c.pair = t.partner(e); c.pair == none {
			t.breach(ruleStock, "a flying clamp needs a tensioned strand beside %s", op.Strand)
		}
	}
	t.clamps[i] = c
	t.hold(e)
	if c.pair != none {
		t.hold(c.pair)
	}
	t.stock(i)
}

// keeper returns the clamp that stands between the string inside the hoop and a gripper outside, or none.
func (t *Table) keeper(e int) int {
	return slices.IndexFunc(t.clamps[:], func(c clamp) bool { return c.on && (c.end == e || c.pair == e) })
}

// stock checks that there are as many clamps as are on.
func (t *Table) stock(i int) {
	on, has := 1, t.bed.terms.Starting
	if i != starting {
		on, has = 0, t.bed.terms.Fixed+t.bed.terms.Flying
		for _, c := range t.clamps[:starting] {
			if c.on {
				on++
			}
		}
	}
	if on > has {
		t.breach(ruleStock, "%d clamps of this kind would be on, there are %d", on, has)
	}
}

// partner returns the end, beside the one given, of a tensioned strand next to it, or none. The strand towards the
// middle column or the head comes first.
func (t *Table) partner(e int) int {
	s := e / 2
	atFirst := t.ends[e].hole == t.bed.strands[s].ends[0]
	beside := [2]int{s - 1, s + 1}
	if s < t.bed.lefts {
		slices.Reverse(beside[:])
	}
	for _, n := range beside {
		if n < 0 || n >= len(t.spans) || t.kind(n) != t.kind(s) || !t.spans[n].tense {
			continue
		}
		if (t.ends[2*n].hole == t.bed.strands[n].ends[0]) == atFirst {
			return 2 * n
		}
		return 2*n + 1
	}
	return none
}

// unclamp takes a clamp off; a gripper that pulls draws the string tight up to what holds it then. On a cracked frame
// the string that it held goes slack.
func (t *Table) unclamp(op *plan.Op) {
	i := t.which(op.Clamp)
	if i == none {
		return
	}
	c := t.clamps[i]
	if !c.on {
		t.breach(ruleStock, "%s is not on", op.Clamp)
		return
	}
	t.off(i)
	if t.gripper != none {
		t.draw()
	}
	if t.cracked {
		t.giveAll(c)
	}
}

func (t *Table) off(i int) {
	t.opens(i)
	t.clamps[i] = clamp{}
}

// opens lets go of what a clamp holds.
func (t *Table) opens(i int) {
	c := t.clamps[i]
	if c.slipped {
		return
	}
	t.letGo(c.end)
	if c.pair != none {
		t.letGo(c.pair)
	}
}

// slipClamp lets a clamp slip: it stays where it is and holds nothing more.
func (t *Table) slipClamp(op *plan.Op) {
	i := t.which(op.Clamp)
	if i == none {
		return
	}
	if !t.clamps[i].on {
		t.breach(ruleStock, "%s is not on", op.Clamp)
		return
	}
	t.opens(i)
	t.clamps[i].slipped = true
	for _, s := range t.giveAll(t.clamps[i]) {
		t.spans[s].slipped = true
	}
}

// giveAll lets the string go slack that a clamp held, and returns its spans.
func (t *Table) giveAll(c clamp) []int {
	lost := t.give(c.end)
	if c.pair != none {
		lost = append(lost, t.give(c.pair)...)
	}
	return lost
}

// places checks what a step says of where the clamps stand.
func (t *Table) places(said map[plan.Clamp]*plan.Grip) {
	known := 0
	for i, name := range plan.Clamps() {
		grip, given := said[name]
		if given {
			known++
		}
		c := t.clamps[i]
		switch {
		case grip == nil && c.on:
			t.breach(ruleEnd, "%s stands at %s when the step is over, not free", name, t.place(c))
		case grip != nil && !c.on:
			t.breach(ruleEnd, "%s is free when the step is over, not at %s %s", name, grip.Strand, grip.Hole)
		case grip != nil && !t.stands(c, grip):
			t.breach(ruleEnd, "%s stands at %s when the step is over, not at %s %s", name, t.place(c), grip.Strand, grip.Hole)
		}
	}
	if known != len(said) {
		t.breach(ruleEnd, "the step knows of clamps other than A, B and S")
	}
}

func (t *Table) stands(c clamp, grip *plan.Grip) bool {
	return t.bed.find(grip.Strand) == c.end/2 && t.bed.hole(grip.Hole) == t.ends[c.end].hole && grip.Outside == c.outside
}

// place says where a clamp stands.
func (t *Table) place(c clamp) string {
	where := string(t.nameOf(c.end)) + " " + string(t.holeOf(c.end))
	if c.outside {
		where += " outside the hoop"
	}
	return where
}
