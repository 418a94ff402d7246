package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// letGripperGo eases the gripper, slowly where nothing else holds what it pulls; what lies behind that is clamped before if it
// is kept.
func (r *recovery) letGripperGo(keep bool) {
	g := r.racket.Gripper()
	if g == nil {
		return
	}
	free := r.racket.Clone()
	free.Apply(&plan.Op{Op: plan.Release})
	if len(lost(r.racket, free)) == 0 {
		r.release()
		return
	}
	if keep {
		r.holdBehind(*g)
	}
	r.op(plan.Op{Op: plan.Slacken, Strand: g.Strand, Hole: g.Hole})
}

// gripperAlone takes clamps off that stand where the gripper pulls.
func (r *recovery) gripperAlone() {
	for _, c := range plan.Clamps() {
		if x := r.racket.Grip(c); x != nil && r.grips(*x, *r.racket.Gripper()) && r.racket.CanComeOff(c) {
			r.off(c)
		}
	}
}

// lost are the strands that are tight in one state and not in another.
func lost(was, is *plan.Racket) (out []plan.Strand) {
	for i, s := range was.Spans() {
		if s.Tight && !is.Spans()[i].Tight {
			out = append(out, s.Strand)
		}
	}
	return out
}

// easeGripper is the first act: what the gripper pulls is clamped, unless it is to be let go anyway.
func (r *recovery) easeGripper(doomed map[plan.Piece]bool) {
	g := r.racket.Gripper()
	if g == nil || r.taken&pullsOn != 0 {
		return
	}
	keep := !doomed[r.pieceOf(g.Strand)]
	exit := r.racket.At(g.Hole) == r.racket.At(r.racket.Span(g.Strand).Out) // from its start nothing is undone: what lies beyond comes first
	wrong := exit && slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool { return !r.anew(o) && slices.Contains(r.toUndo(o), g.Strand) })
	if keep && r.racket.Tight(g.Strand) && len(r.racket.Open()) > 0 && r.mayGiveWay(*g, keep) && r.otherwise(givesWay) {
		r.card(fmt.Sprintf("Let go of %s, which the gripper pulls", g.Strand), func() {
			r.gripperAlone()
			r.letGripperGo(true)
		})
		return
	}
	if at := *g; keep && !exit && !r.undone(at.Strand) && r.racket.Span(at.Strand).Ended && r.startEnds(at) {
		r.card(fmt.Sprintf("Clamp the start of %s", at.Strand), func() { r.endStart(at) })
		return
	}
	if keep && r.otherwise(finishPull) { // where the referee lets it
		r.card(fmt.Sprintf("Clamp %s, which the gripper pulls", g.Strand), func() {
			if !r.anyGone() { // else it would draw string through that is slack
				r.gripperAlone()
			}
			r.hold(*g)
			r.letGripperGo(false)
		})
		return
	}
	if keep && exit && r.undone(g.Strand) && r.racket.Tight(g.Strand) && !r.anyGone() && r.leadAllows(g.Strand) && (!r.lowStays() || r.setsLater()) {
		r.undoTo(*g, r.drawnOut(g.Strand))
		return
	}
	r.card(fmt.Sprintf("Ease the gripper on %s", g.Strand), func() {
		if keep {
			r.drawThrough(*g)
		}
		free := r.racket.Clone()
		free.Apply(&plan.Op{Op: plan.Release})
		behind := r.racket.Span(r.racket.Before(g.Strand).Strand)
		if !exit {
			behind = r.racket.Span(r.racket.Next(g.Strand).Strand)
		}
		adrift := behind != nil && behind.Slipped && !slices.Contains(r.racket.Corners(), r.farHole(*g)) // what it was pulled against is to be pulled anew first
		if holds := len(lost(r.racket, free)) == 0; holds || (!keep || wrong || adrift) && r.mayGiveWay(*g, keep) {
			r.letGripperGo(keep)
		} else {
			r.hold(*g)
			r.letGripperGo(false) // what no clamp can hold alone gives way
		}
		if keep && !r.anySlipped() {
			r.tidy()
		}
	})
}

// drawThrough takes a clamp off that let go where the gripper pulls tight string: the pull draws through it. Slack is walked out
// first.
func (r *recovery) drawThrough(at plan.Spot) {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && !r.racket.Holds(c) && r.grips(*g, at) && r.racket.Tight(at.Strand) {
			drawn := r.racket.Clone()
			if drawn.Apply(&plan.Op{Op: plan.Unclamp, Clamp: c}); len(lost(r.racket, drawn)) > 0 {
				continue // nothing holds where it would draw to
			}
			r.ungrip(c)
			r.clean(c, plan.Gone)
		}
	}
}

// mayGiveWay says whether the gripper can let go of what it pulls: all of it is lost, or neither side leads too far then;
// where what lies behind is kept, that is clamped before.
func (r *recovery) mayGiveWay(at plan.Spot, keep bool) bool {
	if behind := r.behind(at); keep && behind.Strand != "" {
		return r.leadAllows(at.Strand)
	}
	free := r.racket.Clone()
	free.Apply(&plan.Op{Op: plan.Slacken, Strand: at.Strand, Hole: at.Hole})
	return r.racket.Lost(r.pieceOf(at.Strand)) || abs(free.Lead()) <= r.leadMost()
}

// anySlipped says whether a clamp slipped that is to be set again.
func (r *recovery) anySlipped() bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool { return r.racket.Grip(c) != nil && r.racket.Slipped(c) != "" })
}

// anyGone says whether a clamp let go.
func (r *recovery) anyGone() bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool { return r.racket.Grip(c) != nil && !r.racket.Holds(c) })
}

// leadAllows says whether neither side would lead too far, or no further than now, when a strand is let go.
func (r *recovery) leadAllows(s plan.Strand) bool {
	if !s.IsMain() || !r.racket.Tight(s) {
		return true
	}
	lead := r.racket.Lead()
	return abs(lead-sign(s)) <= r.leadMost()
}

// leadMost is the most by which a side may lead: where a mishap made it more than the sheet has it, no more than that.
func (r *recovery) leadMost() int { return max(r.terms.Lead, abs(r.racket.Lead())) }

func abs(n int) int { return max(n, -n) }

// holdBehind clamps what lies behind a strand that is to be let go, unless it is slack or held.
func (r *recovery) holdBehind(at plan.Spot) {
	if before := r.behind(at); before.Strand != "" {
		r.hold(before)
	}
}

// behind is where what lies behind a strand that is to be let go is clamped, the zero Spot where it is slack or held. What a
// flying clamp cannot hold, with nothing tight beside it, goes slack too: then it is clamped behind that. What grips the strand
// itself holds nothing behind it, for it comes off.
func (r *recovery) behind(at plan.Spot) plan.Spot {
	off := r.racket.Clone()
	for _, c := range plan.Clamps() {
		if g := off.Grip(c); g != nil && r.grips(*g, at) {
			off.Apply(&plan.Op{Op: plan.Unclamp, Clamp: c})
		}
	}
	own := r.farHole(at)
	for {
		before := r.beyond(plan.Grip{Strand: own.Strand, Hole: own.Hole})
		if before.Strand == "" || !r.racket.Tight(before.Strand) || off.Held(before) || off.Held(own) {
			return plan.Spot{}
		}
		if !r.t.flying() || r.beside(r.chordOf(before.Strand).Strand) != "" {
			return before
		}
		own = r.farHole(before)
	}
}

// farHole is the other end of the strand of a point.
func (r *recovery) farHole(at plan.Spot) plan.Spot {
	return plan.Spot{Strand: at.Strand, Hole: r.racket.Other(at.Strand, at.Hole)}
}

// hold sets a clamp at a point of the string while the gripper holds what it must: one that is free, otherwise one that
// nothing needs now.
func (r *recovery) hold(at plan.Spot) {
	s := r.chordOf(at.Strand).Strand
	if r.t.flying() && r.beside(s) == "" {
		return // nothing can hold it alone: it goes slack with the strand that it was pulled with
	}
	r.gripSpare(s, r.holeOf(at.Hole))
}
