package sequence

import (
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// cover is a run outside between two holes of a side: its note, if any, comes before an op of a step.
type cover struct {
	from, to patterns.Hole
	step, op int
	told     []plan.Hole // the holes still to be threaded, of which a note told
}

// over says whether the run lies over a hole.
func (c cover) over(h patterns.Hole) bool {
	return h.Side == c.from.Side && min(c.from.N, c.to.N) < h.N && h.N < max(c.from.N, c.to.N)
}

// scrap is the beginning of a note of what is covered.
const scrap = "leave a scrap of string in "

// longRun is the longest run outside the frame, in steps from hole to hole, that passes without a warning: common
// practice of the trade.
const longRun = 3

// announce notes, before string is led from one hole to another, which holes it will cover, and sees that the way is not
// too long; remedy is what else would work.
func (h *planner) announce(from, to patterns.Hole, remedy string) {
	if from.Side != to.Side {
		return
	}
	covers := h.covered(from, to)
	if len(covers) > 0 {
		h.note(scrap + plan.Holes(covers) + " before this run covers " + it(covers))
	}
	step := len(h.steps) - 1
	h.covers = append(h.covers, cover{from, to, step, len(h.steps[step].Ops), covers})
	switch steps := max(from.N-to.N, to.N-from.N); {
	case steps > h.reach():
		h.problems = append(h.problems, h.t.problem("tie.reach", "the run outside from %s to %s takes %d hole-steps, and tie.reach allows %d; %s, or write reach = %d if the frame's maker strings it so",
			h.name(from), h.name(to), steps, h.reach(), remedy, steps))
	case steps > longRun:
		h.warnings = append(h.warnings, "the run outside from "+string(h.name(from))+" to "+string(h.name(to))+" is long: it passes more than three holes")
	}
}

// reach is the most hole-steps of a run outside.
func (h *planner) reach() int { return (&plan.Terms{Reach: h.t.Reach}).ReachSteps() }

// alternatives is what would work where the run from a strand to the next is too long.
func (h *planner) alternatives(from, to patterns.Strand) string {
	if from.Kind != to.Kind {
		return "write pieces = 2"
	}
	return "count the holes of the layout again"
}

func it(holes []plan.Hole) string {
	if len(holes) == 1 {
		return "it"
	}
	return "them"
}

// announceLater notes, before a run covers it, each hole in which a later knot will sit. What is still to be threaded there is told
// already.
func (h *planner) announceLater(knot patterns.Hole) {
	i := slices.IndexFunc(h.covers, func(c cover) bool { return c.over(knot) })
	if i < 0 || slices.Contains(h.covers[i].told, h.name(knot)) {
		return
	}
	at := h.covers[i]
	s := &h.steps[at.step]
	note := plan.Op{Op: plan.Note, Text: fmt.Sprintf("%s%s before this run covers it: a knot comes there later", scrap, h.name(knot))}
	s.Ops = slices.Insert(s.Ops, at.op, note)
	for j := range h.covers {
		if c := &h.covers[j]; c.step == at.step && c.op >= at.op {
			c.op++
		}
	}
	h.covers[i].told = append(h.covers[i].told, h.name(knot))
}
