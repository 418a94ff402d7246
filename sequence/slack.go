package sequence

import (
	"slices"

	"pullcard/sequence/plan"
)

// slackOut draws what lies wrong and is slack back out, with what was laid from it, before anything else of it is mended.
func (r *recovery) slackOut() {
	for _, o := range slices.Clone(r.racket.Open()) {
		if out := r.toUndo(o); !late(o) && !slices.ContainsFunc(out, r.racket.Tight) {
			if beyond := r.laidOf(func(s plan.Span) bool { return s.Slipped && !slices.Contains(out, s.Strand) }); len(beyond) > 0 && r.otherwise(holdsFirst) {
				r.walkEnds(func() bool { return true })
				continue
			}
			moves := r.moves(o) && !r.drawnOut(o.Strand) && !r.otherwise(drawOut)
			for _, s := range slices.Backward(out) {
				if moves && s == o.Strand {
					r.moveEnd(s)
				} else {
					r.drawOut(s)
				}
			}
		}
	}
}

// drawnOut says whether a strand comes out for what lies wrong.
func (r *recovery) drawnOut(s plan.Strand) bool {
	return slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool {
		return !late(o) && !(o.Strand == s && r.moves(o)) && slices.Contains(r.toUndo(o), s)
	})
}

// fromKnots pulls slack on from knots whose tail cannot be pulled again.
func (r *recovery) fromKnots() {
	for _, k := range slices.Clone(r.racket.Knots()) {
		if s := r.racket.Span(k.Strand); !k.Slipped && s.Slipped && r.atExit(k) {
			slack := r.slackFrom(k.Strand, plan.Strand(""))
			at := r.farEnd("", slack)
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}

// slackFrom are the strands that slipped and are slack, from one on along its line, away from what lies before it; without
// that away from the nearer end of the line.
func (r *recovery) slackFrom(s, before plan.Strand) (out []plan.Strand) {
	line := append([]plan.Strand{""}, r.racket.Line(s)...)
	if line[slices.Index(line, s)-1] != before {
		slices.Reverse(line)
	}
	for _, x := range line[slices.Index(line, s):] {
		if at := r.racket.Span(x); at == nil || !at.Slipped {
			break
		}
		out = append(out, x)
	}
	return out
}

// letGoBeyond lets go, the newest first, what is tight beyond string that slipped and is to be pulled anew. What is tied beyond
// cannot be let go: then the slack is pulled on from there, strand by strand, as it may be elsewhere too.
func (r *recovery) letGoBeyond() {
	slack := func(s plan.Strand) bool { at := r.racket.Span(s); return at != nil && at.Slipped }
	for _, s := range r.racket.Newest() {
		from := r.racket.Before(s.Strand)
		before := from.Strand
		if !r.racket.Tight(s.Strand) || !slack(before) {
			continue
		}
		if r.racket.Next(before).Strand != s.Strand && (r.racket.Held(plan.Spot{Strand: s.Strand, Hole: s.In}) || r.racket.Held(from)) {
			continue // beyond the centre loop, held there: what slipped is pulled away from it
		}
		beyond := r.dependents(s.Strand)
		tied := slices.ContainsFunc(beyond, func(b plan.Strand) bool {
			return r.racket.KnotOf(plan.Spot{Strand: b, Hole: r.racket.Span(b).Out}) != nil
		})
		if tied || r.otherwise(atFarEnd) {
			line := r.slackFrom(before, s.Strand)
			at := r.farEnd(s.Strand, line)
			r.oneByOne(line, at, func() { r.hold(at) })
			continue
		}
		for _, b := range slices.Backward(beyond) {
			if r.racket.Tight(b) {
				r.undoPull(plan.Spot{Strand: b, Hole: r.racket.Span(b).Out})
			}
		}
	}
}

// farEnd is the end of the last of some strands that lies away from the others; before is what lies before the first.
func (r *recovery) farEnd(before plan.Strand, list []plan.Strand) plan.Spot {
	for _, s := range list[:len(list)-1] {
		before = s
	}
	last := r.racket.Span(list[len(list)-1])
	if r.racket.Before(last.Strand).Strand == before {
		return plan.Spot{Strand: last.Strand, Hole: last.Out}
	}
	return plan.Spot{Strand: last.Strand, Hole: last.In}
}
