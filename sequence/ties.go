package sequence

import (
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// tie knots a tail off in the nearest tie-off hole of its side that has room for the knot and a tight strand to anchor
// it, at a draw the one nearer the centre line.
func (h *planner) tie(t tail, knot string) error {
	key, hole, anchor, err := h.tieHole(t)
	if err != nil {
		return err
	}
	if h.announceLater(hole); h.fit != nil && h.coveredBy(hole) < 0 { // a run from before the way back
		h.unscrapped(hole)
	}
	remedy := "name a nearer hole in tie." + key
	if why := h.refused(t, key, hole); why != "" {
		remedy += ", for " + why
	}
	h.announce(t.hole, hole, remedy)
	h.op(plan.Op{
		Op: plan.Tie, Strand: strand(t.strand), Out: h.name(t.hole), Hole: h.name(hole), Anchor: anchor, Knot: knot,
		Covers: h.covered(t.hole, hole),
	})
	return nil
}

// finish ties a tail off whose strand is in a clamp, takes the clamp off and trims, as a step of its own.
func (h *planner) finish(t tail, title string) error {
	at := h.spot(t.strand, t.hole)
	h.begin(title)
	if h.racket.KnotOf(at) == nil {
		if err := h.tie(t, h.t.Knot); err != nil {
			return err
		}
	}
	h.clampsOffAt(at)
	h.trim(t)
	h.end()
	return nil
}

// clampsOffAt takes the clamps A and B off that stand at a point, a flying one that was set by its other strand too.
func (h *planner) clampsOffAt(at plan.Spot) {
	for _, c := range []plan.Clamp{plan.A, plan.B} {
		g := h.racket.Grip(c)
		if g != nil && h.grips(*g, at) && h.racket.CanComeOff(c) {
			h.ungrip(c)
		}
	}
}

// trim cuts the tail behind a knot.
func (h *planner) trim(t tail) {
	if k := h.racket.KnotOf(h.spot(t.strand, t.hole)); !k.Trimmed {
		h.op(plan.Op{Op: plan.Trim, Hole: k.Hole, TailMM: h.t.TailMM})
	}
}

func (h *planner) tieHole(t tail) (key string, hole patterns.Hole, anchor plan.Strand, err error) {
	key, candidates, at := "mains", h.f.TieMains, h.f.TieMainsAt
	if t.strand.Kind == patterns.Cross {
		key, candidates, at = "crosses", h.f.TieCrosses, h.f.TieCrossesAt
	}
	var best patterns.Hole
	var hold plan.Strand
	var out []string
	if at := h.racket.ChosenKnotHole(strand(t.strand)); at != "" {
		candidates = []patterns.Hole{h.holeOf(at)}
	}
	for _, c := range candidates {
		if c.Side != t.hole.Side {
			continue
		}
		anchor, why := h.anchor(c, t.strand)
		if why != "" {
			out = append(out, fmt.Sprintf("%s %s", h.name(c), why))
			continue
		}
		if hold == "" || h.nearer(t.hole, c, best) {
			best, hold = c, anchor
		}
	}
	for n := 0; n < h.f.Total() && h.racket.KnotInstead(h.name(best)) != ""; n++ {
		why := ""
		best = h.holeOf(h.racket.KnotInstead(h.name(best)))
		if hold, why = h.anchor(best, t.strand); why != "" {
			out, best = append(out, fmt.Sprintf("%s %s", h.name(best), why)), patterns.Hole{}
		}
	}
	if h.fit != nil && (hold == "" || max(best.N-t.hole.N, t.hole.N-best.N) > h.reach()) {
		if at, anchor := h.giveWay(t, candidates); anchor != "" {
			best, hold = at, anchor
		}
	}
	if hold != "" {
		return key, best, hold, nil
	}
	if len(out) == 0 {
		out = append(out, "there is none on the "+sideWord(t.hole.Side)+" side")
	}
	none := fmt.Sprintf("no tie-off hole for the tail of %s that leaves at %s: %s", t.strand, h.name(t.hole), strings.Join(out, ", "))
	if h.fit != nil {
		return key, best, hold, source.Problem{Text: none} // in a way back no file says more
	}
	return key, best, hold, source.Problem{File: h.f.File, Pos: at, Text: none + "; name another in tie." + key}
}

// giveWay is where a knot goes, and on what it sits, whose tie-off hole another took that was sent there from a split one, or is empty since
// its strand was left in another: the nearest hole of its side beside a tight main. The op says so. No hole where none is within reach.
func (h *planner) giveWay(t tail, candidates []patterns.Hole) (patterns.Hole, plan.Strand) {
	if !h.racket.Laid(strand(t.strand)) {
		return patterns.Hole{}, "" // a starting knot: no tail is there that could be led elsewhere
	}
	for _, c := range candidates {
		if c.Side != t.hole.Side {
			continue
		}
		since, k := "carries no strand", h.racket.KnotIn(h.name(c))
		switch {
		case k != nil && k.Strand[0] != strand(t.strand)[0]:
			since = "has the knot of " + string(k.Strand)
		case k != nil || len(h.racket.Through(h.f.Pos(c))) > 0:
			continue
		}
		for _, fits := range h.fit(strand(t.strand), h.name(t.hole)) {
			if at := h.holeOf(fits.Hole); fits.Steps <= h.reach() {
				if anchor, why := h.anchor(at, t.strand); why == "" {
					h.op(plan.Op{Op: plan.Fault, Fault: plan.FaultShort, Strand: strand(t.strand), Choose: string(fits.Hole),
						Text: fmt.Sprintf("%s %s: the knot of %s goes into %s", h.name(c), since, strand(t.strand), fits.Hole)})
					return at, anchor
				}
			}
		}
	}
	return patterns.Hole{}, ""
}

// refused says why the tie-off holes that are nearer to a tail than the one that serves do not, empty where there are none.
func (h *planner) refused(t tail, key string, serves patterns.Hole) string {
	candidates := h.f.TieMains
	if key == "crosses" {
		candidates = h.f.TieCrosses
	}
	var out []string
	for _, c := range candidates {
		if _, why := h.anchor(c, t.strand); c.Side == t.hole.Side && h.nearer(t.hole, c, serves) && why != "" {
			out = append(out, string(h.name(c))+" "+why)
		}
	}
	return strings.Join(out, ", ")
}

// anchor is the strand that a knot in a hole can sit on, or why there is none.
func (h *planner) anchor(hole patterns.Hole, own patterns.Strand) (plan.Strand, string) {
	switch split, instead := h.racket.Split(h.name(hole)), h.racket.KnotInstead(h.name(hole)); {
	case split && instead == "":
		return "", "is split"
	case instead == "" && h.racket.KnotIn(h.name(hole)) != nil:
		return "", "has a knot already"
	}
	why := "carries no strand yet"
	for _, s := range h.racket.Through(h.f.Pos(hole)) {
		switch {
		case s == strand(own):
			why = "carries only " + string(s) + " itself"
		case !h.racket.Tight(s):
			why = "carries " + string(s) + ", which is slack"
		default:
			return s, ""
		}
	}
	return "", why
}

// nearer says whether hole a serves a tail that leaves at out better than b.
func (h *planner) nearer(out, a, b patterns.Hole) bool {
	da, db := max(a.N-out.N, out.N-a.N), max(b.N-out.N, out.N-b.N)
	if da != db {
		return da < db
	}
	return h.f.Count(a, h.f.Nearer(a)) < h.f.Count(b, h.f.Nearer(b))
}
