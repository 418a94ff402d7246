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
func (h *hands) tie(t tail, knot string) error {
	hole, anchor, err := h.tieHole(t)
	if err != nil {
		return err
	}
	h.announce(t.hole, hole)
	h.op(plan.Op{
		Op: plan.Tie, Strand: strand(t.strand), Out: h.name(t.hole), Hole: h.name(hole), Anchor: strand(anchor), Knot: knot,
		Covers: h.lead(maker{t.strand, t.hole}, t.hole, hole),
	})
	h.knots[hole] = true
	h.knotOf[t] = hole
	delete(h.tails, t)
	return nil
}

// finish ties a tail off whose strand is in a clamp, takes the clamp off and trims, as a step of its own.
func (h *hands) finish(t tail, title string) error {
	h.begin(title)
	if err := h.tie(t, h.t.Knot); err != nil {
		return err
	}
	for _, c := range []plan.Clamp{plan.A, plan.B} {
		if g, on := h.clamps[c]; on && g.Strand == strand(t.strand) && g.Hole == h.name(t.hole) {
			h.ungrip(c)
		}
	}
	h.trim(t)
	h.end()
	return nil
}

// trim cuts the tail behind the knot.
func (h *hands) trim(t tail) {
	h.op(plan.Op{Op: plan.Trim, Hole: h.name(h.knotOf[t]), TailMM: h.t.TailMM})
}

func (h *hands) tieHole(t tail) (patterns.Hole, patterns.Strand, error) {
	key, candidates, at := "mains", h.f.TieMains, h.f.TieMainsAt
	if t.strand.Kind == patterns.Cross {
		key, candidates, at = "crosses", h.f.TieCrosses, h.f.TieCrossesAt
	}
	var best patterns.Hole
	var hold patterns.Strand
	var out []string
	for _, c := range candidates {
		if c.Side != t.hole.Side {
			continue
		}
		anchor, why := h.anchor(c, t.strand)
		if why != "" {
			out = append(out, fmt.Sprintf("%s %s", h.name(c), why))
			continue
		}
		if best.N == 0 || h.nearer(t.hole, c, best) {
			best, hold = c, anchor
		}
	}
	if best.N > 0 {
		return best, hold, nil
	}
	if len(out) == 0 {
		out = append(out, "there is none on the "+sideWord(t.hole.Side)+" side")
	}
	return best, hold, source.Problem{File: h.f.File, Pos: at, Text: fmt.Sprintf(
		"no tie-off hole for the tail of %s that leaves at %s: %s; name another in tie.%s", t.strand, h.name(t.hole), strings.Join(out, ", "), key)}
}

// anchor is the strand that a knot in a hole can sit on, or why there is none.
func (h *hands) anchor(hole patterns.Hole, own patterns.Strand) (patterns.Strand, string) {
	if h.knots[hole] {
		return own, "has a knot already"
	}
	slack := ""
	for _, s := range h.through[hole] {
		switch {
		case s == own:
			slack = "carries only " + s.String() + " itself"
		case !h.tight[s]:
			slack = "carries " + s.String() + ", which is slack"
		default:
			return s, ""
		}
	}
	if slack == "" {
		slack = "carries no strand yet"
	}
	return own, slack
}

// nearer says whether hole a serves a tail that leaves at out better than b.
func (h *hands) nearer(out, a, b patterns.Hole) bool {
	da, db := max(a.N-out.N, out.N-a.N), max(b.N-out.N, out.N-b.N)
	if da != db {
		return da < db
	}
	return h.f.Count(a, h.f.Nearer(a)) < h.f.Count(b, h.f.Nearer(b))
}
