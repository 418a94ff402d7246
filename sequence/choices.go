package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// KnotHole is a hole where a knot can go instead of another.
type KnotHole struct {
	Hole   plan.Hole
	Strand plan.Strand // that lies in it, empty where none does
	Named  bool        // the layout names it as a tie-off hole
	Steps  int         // how many hole-steps it is away from where the string leaves
}

// String is "8TL, 2 holes away", with a warning where the run to it is long or the hole is not made for a knot.
func (h KnotHole) String() string {
	text := fmt.Sprintf("%s, %d holes away", h.Hole, h.Steps)
	if h.Steps == 1 {
		text = fmt.Sprintf("%s, the next hole", h.Hole)
	}
	if h.Steps > longRun {
		text += ", a long run"
	}
	if !h.Named {
		text += fmt.Sprintf("; not made for a knot: a blunt awl, beside %s", h.Strand)
	}
	return text
}

// SplitHoles are the holes where a knot can go that would have gone into a split one when the first done steps of a plan are done, and
// a racket is as it is then or later: the tie-off holes of that side that the layout names, the nearest first, then holes of that side
// within reach with one strand in them, a tight main; how far each is goes by where the string leaves that is tied. There are none for
// a hole that is not made for a knot, and for one that has a knot in it or a strand to come, which takes a sleeve.
func SplitHoles(p *plan.Plan, done int, r *plan.Racket, split plan.Hole) []KnotHole {
	t := &p.Terms
	if at := r.At(split); !tieOff(t, r, "")[at] || r.KnotIn(split) != nil || r.ToBeThreaded(at) {
		return nil
	}
	of, from := plan.Strand(""), split
	for i := range p.Steps[done:] {
		if tie := p.Steps[done+i].Tie(); tie != nil && r.At(tie.Hole) == r.At(split) {
			of, from = tie.Strand, tie.Out
		}
	}
	out := KnotHoles(t, r, of, from)
	out = slices.DeleteFunc(out, func(h KnotHole) bool { return r.At(h.Hole) == r.At(split) || h.Steps > t.ReachSteps() })
	slices.SortStableFunc(out, func(a, b KnotHole) int {
		switch {
		case a.Named == b.Named:
			return 0
		case a.Named:
			return -1
		}
		return 1
	})
	return out
}

// KnotHoles are the holes of the side of a hole where a strand's knot can go that comes from there, the nearest first; no strand
// stands for any. One over which a run lies by now is none: no scrap was left in it.
func KnotHoles(t *plan.Terms, r *plan.Racket, of plan.Strand, from plan.Hole) (out []KnotHole) {
	place, named, made, seen := r.At(from), tieOff(t, r, of), tieOff(t, r, ""), map[int]bool{}
	for _, c := range slices.Concat(t.Mains, t.Crosses) {
		for _, h := range c.Ends {
			at := r.At(h)
			if at == place || seen[at] || r.Side(at) != r.Side(place) || r.KnotIn(h) != nil || r.Split(h) || r.KnotInstead(h) != "" || r.Blocked(at) {
				continue
			}
			in := r.Through(at)
			main := len(in) == 1 && in[0].IsMain() && r.Tight(in[0]) && !r.ToBeThreaded(at)
			if steps := max(at-place, place-at); (named[at] || main && steps <= t.ReachSteps()) && !slices.Equal(in, []plan.Strand{of}) {
				seen[at] = true
				k := KnotHole{Hole: h, Named: made[at], Steps: steps}
				if len(in) > 0 {
					k.Strand = in[0]
				}
				out = append(out, k)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b KnotHole) int { return a.Steps - b.Steps })
	return out
}

// tieOff are the places that the layout names for a strand's knot; for every knot where no strand is named.
func tieOff(t *plan.Terms, r *plan.Racket, of plan.Strand) map[int]bool {
	out := map[int]bool{}
	add := func(holes []plan.Hole) {
		for _, h := range holes {
			out[r.At(h)] = true
		}
	}
	if !of.IsCross() {
		add(t.TieMains)
	}
	if !of.IsMain() {
		add(t.TieCrosses)
	}
	return out
}

// PullsAnew says whether a strand and all of its kind that were pulled after it can be pulled again where they are, see
// anewAt.
func PullsAnew(r *plan.Racket, from plan.Strand) bool {
	strands := r.PulledSince(from)
	for _, s := range strands {
		if _, ok := anewAt(r, s); !ok {
			return false
		}
	}
	return len(strands) > 0
}

// anewAt is the point where a tight strand can be pulled again: its exit, otherwise its start, where nothing tight lies
// outside and no knot.
func anewAt(r *plan.Racket, s plan.Strand) (plan.Spot, bool) {
	span := r.Span(s)
	for _, end := range []struct {
		hole    plan.Hole
		outside plan.Spot
	}{{span.Out, r.Next(s)}, {span.In, r.Before(s)}} {
		at := plan.Spot{Strand: s, Hole: end.hole}
		if !r.Tight(end.outside.Strand) && r.KnotOf(at) == nil {
			return at, r.Tight(s)
		}
	}
	return plan.Spot{}, false
}
