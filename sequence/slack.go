package sequence

import (
	"slices"

	"pullcard/sequence/plan"
)

// slackOut draws what lies wrong and is slack back out, with what was laid from it, before anything else of it is mended.
func (r *recovery) slackOut() {
	for _, o := range slices.Clone(r.racket.Open()) {
		if out := r.toUndo(o); !late(o) && !slices.ContainsFunc(out, r.racket.Tight) {
			moves := r.moves(o)
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

// fromKnots pulls slack on from knots whose tail cannot be pulled again.
func (r *recovery) fromKnots() {
	for _, k := range slices.Clone(r.racket.Knots()) {
		if s := r.racket.Span(k.Strand); !k.Slipped && s.Slipped && !s.Tight && r.racket.At(s.Out) == r.racket.At(k.Out) {
			slack := r.slackFrom(k.Strand, plan.Strand(""))
			at := r.farEnd(slack[len(slack)-1], "", slack)
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}

// slackFrom are the strands that slipped and are slack, from one on along its line, away from what lies before it; without
// that away from the nearer end of the line.
func (r *recovery) slackFrom(s, before plan.Strand) []plan.Strand {
	line := r.racket.Line(s)
	if i := slices.Index(line, s); before == "" && i > 0 || i+1 < len(line) && line[i+1] == before {
		slices.Reverse(line)
	}
	line = line[slices.Index(line, s):]
	if end := slices.IndexFunc(line, func(x plan.Strand) bool { return !r.racket.Span(x).Slipped || r.racket.Tight(x) }); end >= 0 {
		line = line[:end]
	}
	return line
}

// letGoBeyond lets go, the newest first, what is tight beyond string that slipped and is to be pulled anew. What is tied beyond
// cannot be let go: then the slack is pulled on from there, strand by strand.
func (r *recovery) letGoBeyond() {
	slack := func(s plan.Strand) bool { at := r.racket.Span(s); return at != nil && at.Slipped && !at.Tight }
	for _, s := range r.racket.Newest() {
		before := r.racket.Before(s.Strand).Strand
		if !r.racket.Tight(s.Strand) || !slack(before) {
			continue
		}
		if r.racket.Next(before).Strand != s.Strand && r.racket.Held(plan.Spot{Strand: s.Strand, Hole: s.In}) {
			continue // beyond the centre loop, held there: what slipped is pulled away from it
		}
		beyond := r.dependents(s.Strand)
		if slices.ContainsFunc(beyond, func(b plan.Strand) bool {
			return r.racket.KnotOf(plan.Spot{Strand: b, Hole: r.racket.Span(b).Out}) != nil
		}) {
			line := r.slackFrom(before, s.Strand)
			at := r.farEnd(line[len(line)-1], s.Strand, line)
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
func (r *recovery) farEnd(last, before plan.Strand, list []plan.Strand) plan.Spot {
	if len(list) > 1 {
		before = list[len(list)-2]
	}
	span := r.racket.Span(last)
	if r.racket.Before(last).Strand == before {
		return plan.Spot{Strand: last, Hole: span.Out}
	}
	return plan.Spot{Strand: last, Hole: span.In}
}
