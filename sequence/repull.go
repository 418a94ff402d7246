package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// low are the strands that are tight and lost tension, the newest first.
func (r *recovery) low() (out []plan.Strand) {
	for _, s := range r.racket.Newest() {
		if s.Low {
			out = append(out, s.Strand)
		}
	}
	return out
}

// setsLater says whether what is wrong is undone before clamps are set again and what they lost is pulled.
func (r *recovery) setsLater() bool { return len(r.racket.Open()) > 0 && r.otherwise(setLater) }

// lowStays says whether string lost tension that is not let go for something else.
func (r *recovery) lowStays() bool {
	return slices.ContainsFunc(r.low(), func(s plan.Strand) bool { return !r.undone(s) })
}

// stillLow pulls strands once more that lost tension to a clamp which was set again since without drawing through them.
func (r *recovery) stillLow() {
	for _, s := range r.low() {
		if r.undone(s) || r.setsLater() {
			continue
		}
		for _, at := range [2]plan.Spot{r.racket.LowAt(s), r.exit(s)} {
			draws := r.racket.Span(s).Low && r.racket.Tight(at.Strand) && r.racket.Span(at.Strand).Low
			if draws && r.endsAt(at) && slices.Contains(r.racket.Cell(at), s) {
				r.pullAnew(at)
			}
		}
	}
}

// pullAnew pulls a strand once more at a point, where its clamps are set again.
func (r *recovery) pullAnew(at plan.Spot) {
	r.phaseOf(at.Strand)
	r.card(fmt.Sprintf("Pull %s again, at its own tension", at.Strand), func() {
		ends := r.startEnds(at)
		pair := slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool { // a flying clamp holds the start too, and can go on doing so
			g := r.racket.Grip(c)
			return c != plan.S && g != nil && r.grips(*g, at)
		})
		if r.take(at); ends && !pair {
			r.endStart(at)
			return
		}
		in, start := false, r.racket.Grip(plan.S)
		for _, c := range plan.Clamps() {
			if g := r.racket.Grip(c); g != nil && r.grips(*g, at) {
				in = r.standIn(c, *g, at) || in
				r.ungrip(c)
				r.set(c, *g)
			}
		}
		if in && start != nil && !ends { // it is back in its place before the gripper eases
			r.ungrip(plan.S)
			r.set(plan.S, *start)
			in = false
		}
		r.release()
		r.standOff(in)
	})
}

// startEnds says whether a pull at a point finishes the first cross's tail, as a clamp can be spared that holds it until it is tied.
func (r *recovery) startEnds(at plan.Spot) bool {
	c, g := r.spare(r.holeOf(at.Hole).Side), r.racket.Grip(plan.S)
	return g != nil && r.grips(*g, at) && r.finishes(at) && r.racket.KnotOf(at) == nil && (r.racket.Grip(c) == nil || r.racket.CanComeOff(c)) && (!r.t.flying() || r.beside(r.chordOf(at.Strand).Strand) != "") && !r.otherwise(startStays)
}

// exit is the point by which a strand was pulled.
func (r *recovery) exit(s plan.Strand) plan.Spot {
	return plan.Spot{Strand: s, Hole: r.racket.Span(s).Out}
}

// endsAt says whether a tight strand can be pulled again at a point where it is: nothing tight lies outside, and no knot.
func (r *recovery) endsAt(at plan.Spot) bool {
	return r.racket.Tight(at.Strand) && !r.tightOutside(at) && r.racket.KnotOf(at) == nil
}
