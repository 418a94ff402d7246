package referee

import (
	"slices"

	"pullcard/sequence/plan"
)

// clamp is where a clamp stands.
type clamp struct {
	outside bool
	end     int  // none when it is off
	pair    int  // the end of the neighbour that a flying clamp grips as well, or none
	slipped bool // it holds nothing until it is set again
	stub    int  // the position at which it still stands though its strand is cut, or 0
}

// off is a clamp that stands nowhere.
func off() clamp { return clamp{end: none, pair: none} }

func (c clamp) on() bool { return c.end != none }

// at says whether the clamp grips at an end.
func (c clamp) at(e int) bool { return c.stub == 0 && (c.end == e || c.pair == e) }

// grips says whether the clamp is on a strand.
func (c clamp) grips(s int) bool { return c.at(2*s) || c.at(2*s+1) }

// ends are the one or two at which the clamp grips.
func (c clamp) ends() []int {
	if c.pair == none {
		return []int{c.end}
	}
	return []int{c.end, c.pair}
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
	if t.clamps[i].on() {
		t.breach(ruleStock, "%s is on already, at %s", op.Clamp, t.place(t.clamps[i]))
		t.off(i)
	}
	if op.Outside && i != starting {
		t.breach(ruleStock, "%s grips inside the hoop only", op.Clamp)
	}
	if op.Outside && t.ends[e].short == 1 {
		t.breach(ruleStock, "the tail outside %s is trimmed, it is too short for %s", op.Hole, op.Clamp)
	}
	c := clamp{outside: op.Outside, end: e, pair: t.partner(op, i, e)}
	t.leapfrog(i, e)
	t.clamps[i] = c
	t.hold(e)
	if c.pair != none {
		t.hold(c.pair)
	}
	t.stock(i)
}

// keeper returns the clamp that stands between the string inside the hoop and a gripper outside, or none.
func (t *Table) keeper(e int) int {
	return slices.IndexFunc(t.clamps[:], func(c clamp) bool { return !c.outside && c.at(e) })
}

// clamped says whether a clamp stands at an end, inside or outside.
func (t *Table) clamped(e int) bool {
	return slices.ContainsFunc(t.clamps[:], func(c clamp) bool { return c.at(e) })
}

// standingClamps is how many of A and B are on.
func (t *Table) standingClamps() (n int) {
	for _, c := range t.clamps[:starting] {
		if c.on() {
			n++
		}
	}
	return n
}

// stock checks that there are as many clamps as are on.
func (t *Table) stock(i int) {
	on, has := 1, t.bed.terms.Starting
	if i != starting {
		on, has = t.standingClamps(), t.bed.terms.Fixed+t.bed.terms.Flying
	}
	if on > has {
		t.breach(ruleStock, "%d clamps of this kind would be on, there are %d", on, has)
	}
}

// partner returns the end of the neighbour that a flying clamp grips too, where the two lie side by side, or none. One of
// the two is tight by itself, not only while the gripper pulls it.
func (t *Table) partner(op *plan.Op, i, e int) int {
	if !t.bed.flying() || i == starting {
		if op.With != "" {
			t.breach(ruleStock, "%s grips one strand, not %s as well", op.Clamp, op.With)
		}
		return none
	}
	s, w := e/2, t.bed.find(op.With)
	if w == none || !t.spans[w].laid || t.kind(w) != t.kind(s) || w != s-1 && w != s+1 {
		t.breach(ruleStock, "a flying clamp grips %s and a strand beside it, not %q", op.Strand, op.With)
		return none
	}
	tight := func(s int) bool { return t.spans[s].tense && !t.pulls(s) }
	if !tight(s) && !tight(w) {
		t.breach(ruleStock, "neither %s nor %s is tensioned by itself, a flying clamp needs one that is", op.Strand, op.With)
	}
	if (t.ends[2*w].home == t.bed.strands[w].ends[0]) == (t.ends[e].home == t.bed.strands[s].ends[0]) {
		return 2 * w
	}
	return 2*w + 1
}

// unclamp takes a clamp off; a gripper that pulls draws the string tight up to what holds it then.
func (t *Table) unclamp(op *plan.Op) {
	i := t.which(op.Clamp)
	if i == none {
		return
	}
	c := t.clamps[i]
	if !c.on() {
		t.breach(ruleStock, "%s is not on", op.Clamp)
		return
	}
	if c.stub == 0 {
		t.checkOpensBroken(op, c)
		t.checkHangs(op, c)
	}
	t.off(i)
	if t.gripper != none {
		t.draw()
	}
}

// checkOpensBroken checks that a clamp on a line that broke is opened only where the strand was pressed and is slack on both sides.
func (t *Table) checkOpensBroken(op *plan.Op, c clamp) {
	s := c.end / 2
	if i, _ := t.piece(s); !t.pieces[i].broken {
		return
	}
	if !t.ends[c.end].felt {
		t.breach(ruleHeld, "%s is opened on a piece that broke before anybody has pressed %s at %s", op.Clamp, t.bed.strands[s].name, t.holeOf(c.end))
	}
	if t.spans[s].tense && t.ends[c.end].tense && !c.slipped {
		t.breach(ruleHeld, "%s is opened on a piece that broke, and %s is tensioned on both sides of it", op.Clamp, t.bed.strands[s].name)
	}
}

// checkHangs checks that a clamp on string that is cut out is opened only where nothing keeps tension in that string any more.
func (t *Table) checkHangs(op *plan.Op, c clamp) {
	if i, _ := t.piece(c.end / 2); !t.pieces[i].lost && !t.cracked || c.slipped {
		return
	}
	for _, e := range c.ends() {
		if s := t.hangs(e); s != none {
			t.breach(ruleHeld, "%s is opened while tension may still hang in %s: it is cut, or what lies beside it, before", op.Clamp, t.bed.strands[s].name)
			return
		}
	}
}

// hangs returns a strand beside a clamp's end that went slack by itself and in which friction may keep tension all the same, or
// none. What passes corners and woven strands beyond its own hole gives its tension up only when it is cut there.
func (t *Table) hangs(e int) int {
	for _, near := range t.beside(e) {
		sp, far := &t.spans[near/2], t.ends[near^1].link
		if sp.pulled && !sp.tense && !sp.parted && far != none && !t.spans[far/2].parted && t.ends[near^1].holds == 0 {
			return near / 2
		}
	}
	return none
}

// stubs checks that a clamp whose strand was cut comes off before hands do anything else.
func (t *Table) stubs(op *plan.Op) {
	switch op.Op {
	case plan.Unclamp, plan.Cut, plan.Note, plan.Inspect, plan.Fault, plan.Waive:
		return
	}
	for i, c := range t.clamps {
		if c.stub != 0 {
			t.breach(ruleStock, "%s still grips what is left of %s", plan.Clamps()[i], t.nameOf(c.end))
		}
	}
}

func (t *Table) off(i int) {
	t.opens(i)
	t.clamps[i] = off()
}

// opens lets go of what a clamp holds.
func (t *Table) opens(i int) {
	c := t.clamps[i]
	if c.slipped || c.stub != 0 {
		return
	}
	t.letGo(c.end)
	if c.pair != none {
		t.letGo(c.pair)
	}
}

// slipClamp lets a clamp slip. One that let go stays where it is and holds nothing more; one that crept, or whose base
// slid, still holds, and what it holds has lost tension.
func (t *Table) slipClamp(op *plan.Op) {
	i := t.which(op.Clamp)
	if i == none {
		return
	}
	c := &t.clamps[i]
	if !c.on() {
		t.breach(ruleStock, "%s is not on", op.Clamp)
		return
	}
	if op.Extent != plan.Base && c.stub == 0 {
		for _, e := range c.ends() {
			t.ends[e].mark = true
		}
	}
	switch op.Extent {
	case plan.Crept, plan.Base:
		if c.slipped {
			t.breach(ruleStock, "%s holds nothing since it slipped, it cannot creep", op.Clamp)
			return
		}
		t.lower(*c)
	case plan.Gone, "":
		t.opens(i)
		c.slipped = true
		t.feltTight(op, c.end)
		t.slip(t.give(c.end))
		if c.pair != none {
			t.slip(t.give(c.pair))
		}
	default:
		t.breach(ruleEnd, "no extent of a slip is called %q", op.Extent)
	}
}

// lower takes tension from the string that a clamp holds, up to what else holds it: one that crept at one of its two
// strands holds the other no better. Where it holds but one end of tension, inside the hoop, the pull that restores it is
// there; otherwise any that draws through it.
func (t *Table) lower(c clamp) {
	ends := c.ends()
	for _, e := range ends {
		t.letGo(e)
	}
	var low, from []int
	for _, e := range ends {
		cell := t.cell(e)
		if cell != nil {
			from = append(from, e)
		}
		if t.ends[e].holds == 0 {
			low = append(low, cell...)
		}
	}
	for _, e := range ends {
		t.hold(e)
	}
	for _, s := range low {
		t.spans[s].since = t.gripper != none
		if t.spans[s].low = looped; len(from) == 1 && t.spans[from[0]/2].tense {
			t.spans[s].low = from[0] + 1
		}
	}
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
		case grip == nil && c.on():
			t.breach(ruleEnd, "%s stands at %s when the step is over, not free", name, t.place(c))
		case grip != nil && !c.on():
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
	return t.bed.find(grip.Strand) == c.end/2 && t.bed.hole(grip.Hole) == t.standsAt(c) && grip.Outside == c.outside &&
		(c.pair == none && grip.With == "" || c.pair != none && t.bed.find(grip.With) == c.pair/2)
}

// standsAt is the position at which a clamp stands.
func (t *Table) standsAt(c clamp) int {
	if c.stub != 0 {
		return c.stub
	}
	return t.ends[c.end].hole
}

// place says where a clamp stands.
func (t *Table) place(c clamp) string {
	where := string(t.nameOf(c.end)) + " " + string(t.bed.name(t.standsAt(c)))
	if c.outside {
		where += " outside the hoop"
	}
	return where
}
