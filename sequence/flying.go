package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// Flying clamps have no base: each grips two strands that lie side by side, of which one is tight by itself, and neither has
// a side. So the first main and the first cross, beside which nothing is tight, are pulled together with the second against
// the starting clamp. Common practice of the trade.

// flying says whether the clamps pair strands.
func (t *Technique) flying() bool { return t.Clamps.Flying > 0 }

// flyingFits reports what of a technique flying clamps cannot do.
func flyingFits(f *patterns.Frame, t *Technique, add adder) {
	switch {
	case t.Clamps.Flying < 2:
		add("clamps.flying", "the mains take two flying clamps; write flying = 2, or fixed = 2")
	case len(f.Mains[patterns.Left]) < 2 || len(f.Crosses) < 3:
		add("clamps.flying", "flying clamps pair strands, two mains a side and three crosses at the least, and %s has %d and %d; write fixed = 2", f.Name, len(f.Mains[patterns.Left]), len(f.Crosses))
	}
	if t.Clamps.Starting < 1 && (t.Pieces == 1 || t.Cross.Start == StartKnot) {
		add("clamps.starting", "with flying clamps the first two mains are pulled together against a starting clamp; write starting = 1")
	}
	switch {
	case t.Pieces == 1 && t.Around:
		add("around", "flying clamps cannot hold the lowest cross, beside which nothing is tight yet; write around = false and pieces = 2, or fixed = 2")
	case t.Pieces == 2 && t.Cross.Start == StartSkip:
		add("crosses.start", `flying clamps cannot hold the second cross while the first is slack; write start = "clamp" or "knot", or fixed = 2`)
	}
}

// beside is the strand that a flying clamp grips together with one, empty where none is fit: of its neighbours one that is
// tight and that the gripper does not pull, the one nearer the centre or the head first.
func (h *planner) beside(s patterns.Strand) plan.Strand {
	near := []patterns.Strand{{Kind: s.Kind, Number: s.Number - 1, Side: s.Side}, {Kind: s.Kind, Number: s.Number + 1, Side: s.Side}}
	if s.Kind == patterns.Main && s.Number == 1 {
		near[0] = patterns.MainStrand(1, s.Side.Other())
	}
	g := h.racket.Gripper()
	for _, n := range near {
		if name := strand(n); h.racket.Tight(name) && (g == nil || g.Strand != name) {
			return name
		}
	}
	return ""
}

// pullBoth pulls a strand from its exit and with it, unless it is none or tight, one across a loop.
func (h *planner) pullBoth(s, also patterns.Strand, hole patterns.Hole, boosted bool) {
	o := h.pulling(s, hole, boosted, false)
	if also.Number > 0 && !h.racket.Tight(strand(also)) {
		o.Also = strand(also)
	}
	h.op(o)
}

// together are the mains and the crosses that flying clamps let be pulled together, of each pair the one that is pulled last.
func (t *Technique) together(f *patterns.Frame) [2][2]patterns.Strand {
	crosses := [2]patterns.Strand{patterns.CrossStrand(1), patterns.CrossStrand(2)}
	if n := len(f.Crosses); t.Cross.From == patterns.Throat {
		crosses = [2]patterns.Strand{patterns.CrossStrand(n), patterns.CrossStrand(n - 1)}
	}
	return [2][2]patterns.Strand{{patterns.MainStrand(1, t.Mains.First), patterns.MainStrand(1, t.Mains.First.Other())}, crosses}
}

// alike gives strands that are pulled together the same tension. Where the job names two it is wrong.
func (j *Job) alike(f *patterns.Frame, t *Technique, o *orders) (problems source.Problems) {
	if !t.flying() {
		return nil
	}
	for _, pair := range t.together(f) {
		also, pulled := pair[0], pair[1]
		if o.of(also) == o.of(pulled) {
			continue
		}
		for _, own := range j.Strands {
			if own.Strand == also || own.Strand == pulled {
				problems = append(problems, source.Problem{File: j.File, Pos: own.valueAt, Text: fmt.Sprintf(
					"tension.strands.%s is %s, and flying clamps let %s and %s be pulled together, at one tension; name both alike", own.Strand, own.Tension, also, pulled)})
			}
		}
		o.set(also, o.of(pulled))
	}
	return problems
}

// grips says whether a clamp holds the string at a point.
func (h *planner) grips(g plan.Grip, at plan.Spot) bool {
	return h.racket.Same(plan.Spot{Strand: g.Strand, Hole: g.Hole}, at) || h.racket.Same(h.racket.Beside(g), at)
}

// standIn sets the starting clamp outside where a flying clamp that is to come off holds its other strand, as the gripper
// holds but one of them at a point; unless nothing needs it there. It says whether it did.
func (h *planner) standIn(c plan.Clamp, g plan.Grip, at plan.Spot) bool {
	other := h.racket.Beside(g)
	if other.Strand == at.Strand {
		other = plan.Spot{Strand: g.Strand, Hole: g.Hole}
	}
	if g.With == "" || h.racket.CanComeOff(c) {
		return false
	}
	if s := h.racket.Grip(plan.S); s != nil && !h.grips(*s, at) && !h.racket.CanComeOff(plan.S) {
		return false
	}
	h.ungrip(plan.S) // the gripper holds there, or nothing has to
	h.op(plan.Op{Op: plan.ClampOn, Clamp: plan.S, Strand: other.Strand, Hole: other.Hole, Outside: true})
	return true
}

// standOff takes the starting clamp off that stood in for a flying clamp.
func (h *planner) standOff(stoodIn bool) {
	if stoodIn && h.racket.CanComeOff(plan.S) {
		h.ungrip(plan.S)
	}
}
