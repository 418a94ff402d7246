package referee

import (
	"slices"
	"strings"
	"unicode"

	"pullcard/sequence/plan"
)

// outside is the run along the frame between two holes.
func (t *Table) outside(a, b int) run {
	if !t.bed.sameSide(a, b) {
		t.breach(ruleRun, "the string outside from %s to %s passes the centre line", t.bed.name(a), t.bed.name(b))
	}
	return t.bed.run(a, b)
}

// between is the run outside between two ends.
func (t *Table) between(a, b int) run { return t.bed.run(t.ends[a].hole, t.ends[b].hole) }

// uncover takes a run away.
func (t *Table) uncover(u run) {
	for i := 1; i < u.steps; i++ {
		h := &t.holes[t.bed.under(u, i)]
		if h.over--; h.over == 0 {
			h.hidden = 0
		}
	}
}

// covers lays a run over the holes between its ends and checks the list of those that are still to be threaded, each of
// which a note has to name before.
func (t *Table) covers(said []plan.Hole, u run) {
	var want []int
	if most := t.bed.terms.ReachSteps(); u.steps > most {
		t.breach(ruleRun, "the string outside from %s takes %d hole-steps, at most %d are allowed", t.bed.name(u.start), u.steps, most)
	}
	for i := 1; i < u.steps; i++ {
		pos := t.bed.under(u, i)
		h := &t.holes[pos]
		h.over++
		if !h.told && h.hidden == 0 {
			h.hidden = t.where.step
		}
		if h.due > 0 {
			want = append(want, pos)
			if !h.told {
				t.breach(ruleRun, "%s is covered, and no note named it before", t.bed.name(pos))
			}
		}
	}
	t.compare("covers", said, want)
}

// announce remembers the holes that a note names: whoever reads it leaves a scrap of string in them, which stays until
// a strand goes through.
func (t *Table) announce(text string) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		h := &t.holes[t.bed.hole(plan.Hole(word))]
		if h.told, h.scrap = true, true; t.astray { // who planned the run did not know of what comes there now
			h.hidden = 0
		}
	}
}

// blocked checks the list of a strand's holes over which a run lies already.
func (t *Table) blocked(op *plan.Op, from, to int) {
	var want []int
	for _, pos := range [2]int{from, to} {
		if h := &t.holes[pos]; h.over > 0 && !slices.Contains(want, pos) {
			want = append(want, pos)
			if !h.scrap {
				t.breach(ruleRun, "%s lies under a run, and no note says what string follows in there", t.bed.name(pos))
			}
		}
	}
	t.compare("blocked", op.Blocked, want)
}

// compare checks that a list names these holes and no others.
func (t *Table) compare(field string, said []plan.Hole, want []int) {
	var is []int
	for _, name := range said {
		is = append(is, t.bed.hole(name))
	}
	slices.Sort(is)
	slices.Sort(want)
	if slices.Equal(slices.Compact(is), want) { // a hole may be named twice
		return
	}
	var holes []plan.Hole
	for _, pos := range want {
		holes = append(holes, t.bed.name(pos))
	}
	t.breach(ruleRun, "%q says %s, but it is %s", field, names(said), names(holes))
}

// names writes a list of holes in order.
func names(holes []plan.Hole) string {
	if len(holes) == 0 {
		return "no hole"
	}
	words := make([]string, len(holes))
	for i, h := range holes {
		words[i] = string(h)
	}
	slices.Sort(words)
	return strings.Join(words, ", ")
}
