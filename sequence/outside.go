package sequence

import (
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// cover is a run outside between two holes of a side.
type cover struct {
	to    patterns.Hole
	first []int       // the places that no run lay over before
	step  int         // in which it comes to lie
	told  []plan.Hole // the holes of which a note told
}

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
		h.note(plan.LeaveScrap + plan.Holes(covers) + " before this run covers " + it(covers))
	}
	first := slices.DeleteFunc(h.racket.Between(h.f.Pos(from), h.f.Pos(to)), h.racket.Blocked)
	h.covers = append(h.covers, cover{to, first, len(h.steps) - 1, covers})
	switch steps := max(from.N-to.N, to.N-from.N); {
	case steps > h.reach() && h.fit != nil: // in a way back no file says more
		h.problems = append(h.problems, source.Problem{Text: fmt.Sprintf("the run outside from %s to %s takes %d hole-steps, and the sheet allows %d", h.name(from), h.name(to), steps, h.reach())})
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

// coveredBy is the place in the list of the run that came to lie over a hole where none did; negative for none.
func (h *planner) coveredBy(hole patterns.Hole) int {
	return slices.IndexFunc(h.covers, func(c cover) bool { return slices.Contains(c.first, h.f.Pos(hole)) })
}

// announceLater notes, before a run covers it, each hole in which a later knot will sit. What is still to be threaded there is told
// already.
func (h *planner) announceLater(knot patterns.Hole) {
	i := h.coveredBy(knot)
	if i < 0 || slices.Contains(h.covers[i].told, h.name(knot)) {
		return
	}
	s, to := &h.steps[h.covers[i].step], h.name(h.covers[i].to)
	run := slices.IndexFunc(s.Ops, func(o plan.Op) bool { return o.From == to || o.Hole == to })
	note := plan.Op{Op: plan.Note, Text: fmt.Sprintf("%s%s before this run covers it: a knot comes there later", plan.LeaveScrap, h.name(knot))}
	s.Ops = slices.Insert(s.Ops, run, note)
	h.covers[i].told = append(h.covers[i].told, h.name(knot))
}

// unscrapped notes, before string is put through holes, those that lie under a run without a scrap to follow in.
func (h *planner) unscrapped(holes ...patterns.Hole) {
	var bare []plan.Hole
	for _, name := range h.blocked(holes...) {
		if !h.racket.Scrap(name) {
			bare = append(bare, name)
		}
	}
	if len(bare) > 0 {
		h.note("no scrap is in " + plan.Holes(bare) + ", and a run lies over " + it(bare) + ": a blunt awl beside the run, never pry")
	}
}

// scrapsFor notes, before strands come out, which of their holes lie under a run then: what comes there anew needs a scrap to
// follow.
func (r *recovery) scrapsFor(out ...plan.Strand) {
	try := r.racket.Clone()
	var places []int
	for _, s := range out {
		lies := try.LiesAt(s)
		places = append(places, lies[:]...)
		try.Apply(&plan.Op{Op: plan.Cut, Strand: s})
	}
	r.scrapsAt(try, places...)
}

// scrapsAt notes which of some places have to have a scrap left in them as a racket is.
func (r *recovery) scrapsAt(racket *plan.Racket, places ...int) {
	var covered []plan.Hole
	for _, place := range places {
		if name := r.holeName[place]; racket.ToBeThreaded(place) && racket.Blocked(place) && !racket.Scrap(name) && !slices.Contains(covered, name) {
			covered = append(covered, name)
		}
	}
	if len(covered) > 0 {
		r.note(underRun(covered))
	}
}

// underRun is the note that has scraps left in holes over which a run lies.
func underRun(holes []plan.Hole) string {
	return plan.LeaveScrap + plan.Holes(holes) + ": a run lies over " + it(holes)
}

// unneeded takes scraps out of notes of that kind that nothing follows in: by the time that string comes there the run is gone, or none
// comes there any more.
func (r *recovery) unneeded() {
	for i := range r.steps {
		s := &r.steps[i]
		for j := range s.Ops {
			if holes := plan.ScrapsOf(s.Ops[j].Text); s.Ops[j].Text == underRun(holes) {
				s.Ops[j].Text = underRun(slices.DeleteFunc(holes, func(h plan.Hole) bool { return !r.followed(h, r.steps[i:]) }))
			}
		}
		s.Ops = slices.DeleteFunc(s.Ops, func(o plan.Op) bool { return o.Text == underRun(nil) })
	}
}

// followed says whether in some steps string comes into a hole under a run, or a run comes to lie over it.
func (r *recovery) followed(h plan.Hole, steps []plan.Step) bool {
	at := func(x plan.Hole) bool { return r.racket.At(x) == r.racket.At(h) }
	return slices.ContainsFunc(steps, func(s plan.Step) bool {
		return slices.ContainsFunc(s.Ops, func(o plan.Op) bool {
			return o.Op == plan.Tie && at(o.Hole) || slices.ContainsFunc(o.Blocked, at) || slices.ContainsFunc(o.Covers, at)
		})
	})
}
