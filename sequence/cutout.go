package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// atOnce is how many cuts stand in a step, so that they are read at a glance.
const atOnce = 4

// allOut says why all of the string comes out where one strand is wrong.
const allOut = "no way back that keeps more of the string is sure: all of it comes out, and the racket is strung anew"

// cutOut cuts strands out from the centre outwards, mains and crosses in turn. A clamp comes off as soon as what it grips is
// slack.
func (r *recovery) cutOut(doomed []plan.Span) {
	if len(doomed) == 0 {
		r.fallenKnots()
		return
	}
	if r.phase = plan.PhaseCrosses; doomed[0].Strand.IsMain() {
		r.phase = plan.PhaseMains
	}
	gone := map[plan.Strand]bool{}
	for _, s := range doomed {
		gone[s.Strand] = true
	}
	r.stubsOff()
	r.slackClamps(gone)
	r.drawLoose(gone)
	r.slackClamps(gone) // past what hung free tension has gone
	order := r.cutOrder(r.laidOf(func(s plan.Span) bool { return gone[s.Strand] }))
	for all := len(order); len(order) > 0; {
		n := 0
		r.card("Cut out, from the centre outwards", func() {
			if r.bare && len(order) == all {
				r.note(allOut)
			}
			r.note("face away from the string; cut from the centre outwards")
			for n < min(len(order), atOnce) {
				s := order[n]
				if n > 0 && r.wantsClampsOff(gone) {
					return
				}
				r.comesAway(s)
				r.op(plan.Op{Op: plan.Cut, Strand: s})
				if n++; r.stub() != "" {
					return
				}
			}
		})
		order = order[n:]
		r.stubsOff()
		r.slackClamps(gone)
	}
	r.fallenKnots()
	r.takeOut(doomed)
}

// drawLoose draws out, the newest first, what is to go and hangs free: no cutter need come near the tight mains for it. What is broken or
// kinked is cut, and so is what is woven into mains that go, as the bed is relieved first, unless nothing of its piece is tight. A cracked frame is not handled longer than it takes to cut.
func (r *recovery) drawLoose(gone map[plan.Strand]bool) {
	if r.racket.Cracked() {
		return
	}
	defer func(phase plan.Phase) { r.phase = phase }(r.phase)
	woven := len(r.laidOf(func(s plan.Span) bool { return s.Strand.IsCross() })) > 0 &&
		len(r.laidOf(func(s plan.Span) bool { return s.Strand.IsMain() && gone[s.Strand] })) > 0
	for _, s := range r.racket.Newest() {
		if gone[s.Strand] && r.hangsFree(&s) && (!woven && !s.Pulled || r.savedOut(s.Piece)) {
			r.drawOut(s.Strand)
		}
	}
}

// hangsFree says whether a strand is slack and can be drawn out by a free tail.
func (r *recovery) hangsFree(s *plan.Span) bool {
	if s.Tight || s.Slipped || s.Broken || r.gripped(s.Strand) || slices.ContainsFunc(r.racket.Knots(), func(k plan.Knot) bool { return k.Anchor == s.Strand }) || slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool { return o.Strand == s.Strand }) {
		return false
	}
	ends := []plan.Spot{r.exit(s.Strand), r.farHole(r.exit(s.Strand))}
	return !slices.ContainsFunc(ends, func(at plan.Spot) bool { return r.racket.KnotOf(at) != nil }) &&
		slices.ContainsFunc(ends, func(at plan.Spot) bool { return r.racket.Across(at) == plan.Spot{} })
}

// savedOut says whether a piece that goes with another is kept when it is drawn out: none of it is tight, broken or kinked.
func (r *recovery) savedOut(p plan.Piece) bool {
	return !r.bare && !r.racket.Lost(p) && len(r.laidOf(func(s plan.Span) bool { return s.Piece == p && (s.Tight || s.Slipped) })) == 0 &&
		!slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool { return o.Fault == plan.FaultKink && r.pieceOf(o.Strand) == p })
}

// takeOut takes what was cut out of the holes, of strands that are to be laid anew.
func (r *recovery) takeOut(cut []plan.Span) {
	if r.racket.Cracked() {
		return
	}
	r.card("Take the pieces out", func() {
		var places []int
		for _, s := range cut {
			lies := r.racket.Ends(s.Strand)
			places = append(places, lies[:]...)
		}
		r.scrapsAt(r.racket, places...)
		text := "the cut pieces and their knots are out of all holes, no "
		var known, sleeved []plan.Hole
		for place := 1; place <= r.racket.Total(); place++ {
			switch h := r.holeName[place]; {
			case r.racket.Sleeved(h):
				known, sleeved = append(known, h), append(sleeved, h)
			case r.racket.WantsSleeve(h):
				known = append(known, h)
			}
		}
		if len(known) > 0 {
			text += "other grommet than " + plan.Holes(known) + " is split"
		} else {
			text += "grommet is split"
		}
		if r.wrong.Fault == plan.FaultBreak {
			text += ", least of all where it broke"
		}
		if len(sleeved) > 0 {
			text += "; in " + plan.Holes(sleeved) + " the sleeve is in its place still"
		}
		r.inspect(text)
	})
}

// slackClamps takes the clamps off doomed string that has gone slack on both sides; the string is pressed there before.
func (r *recovery) slackClamps(gone map[plan.Strand]bool) {
	for _, c := range plan.Clamps() {
		g := r.racket.Grip(c)
		if !r.idle(c, gone) {
			continue
		}
		do, look := plan.CutTight, fmt.Sprintf("beside clamp %s: it must be slack on both sides; if it is tight, cut it on the bed's side of the clamp, with the clamp on, face away", c)
		if r.racket.Tight(g.Strand) || r.racket.Tight(r.beyond(*g).Strand) {
			do, look = "", fmt.Sprintf("beside clamp %s: another clamp or a knot holds there, and nothing moves when it comes off", c)
		}
		if !r.racket.Holds(c) {
			do, look = "", fmt.Sprintf("beside clamp %s, which let go: nothing moves when it comes off", c)
		}
		r.card(fmt.Sprintf("Press %s, then clamp %s off", g.Strand, c), func() {
			r.press(g.Strand, g.Hole, do, look)
			r.ungrip(c)
		})
	}
}

// press has a strand pressed beside a hole.
func (r *recovery) press(s plan.Strand, at plan.Hole, tight plan.WhenTight, text string) {
	r.op(plan.Op{Op: plan.Inspect, Strand: s, Hole: at, Tight: tight, Text: "press " + string(s) + " " + text})
}

// stub is a clamp that stands on its rail with what is left of a strand in its jaws, empty for none.
func (r *recovery) stub() plan.Clamp {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && !r.racket.Laid(g.Strand) {
			return c
		}
	}
	return ""
}

// stubsOff takes the clamps off whose strand was cut.
func (r *recovery) stubsOff() {
	for c := r.stub(); c != ""; c = r.stub() {
		r.card(fmt.Sprintf("Clamp %s off", c), func() { r.ungrip(c) })
	}
}

// idle says whether a clamp on doomed string holds nothing: it let go, another holds in its place, or it grips string that is
// slack on both sides and in which no tension hangs.
func (r *recovery) idle(c plan.Clamp, gone map[plan.Strand]bool) bool {
	g := r.racket.Grip(c)
	if g == nil || !gone[g.Strand] {
		return false
	}
	inside, outside := r.racket.Tight(g.Strand), r.racket.Tight(r.beyond(*g).Strand)
	hangs, spare := r.racket.MayHoldTension(c), r.racket.CanComeOff(c)
	at := plan.Spot{Strand: g.Strand, Hole: g.Hole}
	switch {
	case !r.racket.Holds(c), !inside && !outside && (g.With == "" || spare) && !hangs:
		return true
	case inside && outside: // what broke may let go of either side
		return false
	case c != plan.S && r.racket.KnotOf(at) == nil:
		return false
	}
	return spare && (!hangs || r.doubled(c, at) && !r.racket.Cracked() && !r.racket.Lost(r.pieceOf(g.Strand)))
}

// doubled says whether another clamp holds where one does.
func (r *recovery) doubled(c plan.Clamp, at plan.Spot) bool {
	return slices.ContainsFunc(plan.Clamps(), func(by plan.Clamp) bool {
		return by != c && r.racket.Holds(by) && r.grips(*r.racket.Grip(by), at)
	})
}

func (r *recovery) wantsClampsOff(gone map[plan.Strand]bool) bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool { return r.idle(c, gone) })
}

// comesAway says of the loose clamps on a strand that is cut while they hold its tension that they come away with it; those of a
// rail stay where they stand.
func (r *recovery) comesAway(s plan.Strand) {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && g.On(s) && (c == plan.S || g.With != "") {
			r.note(fmt.Sprintf("clamp %s comes away with it", c))
		}
	}
}

// cutOrder is the order of the cuts: the mains from the centre, left and right in turn, with the crosses from the middle, this
// way and that. Of two that could be first that one is on which no clamp stands.
func (r *recovery) cutOrder(doomed []plan.Span) []plan.Strand {
	var left, right, crosses []plan.Strand
	for _, s := range doomed {
		switch name := s.Strand; {
		case name.IsCross():
			crosses = append(crosses, name)
		case name[len(name)-1] == 'L':
			left = append([]plan.Strand{name}, left...) // columns go from left to right
		default:
			right = append(right, name)
		}
	}
	inner := func(s plan.Strand) int { return r.chordOf(s).Number }
	if len(left) > 0 && len(right) > 0 && inner(right[0]) < inner(left[0]) {
		left, right = right, left
	}
	mains := r.freeFirst(inTurn(left, right), func(i int, m []plan.Strand) bool { return inner(m[i]) == inner(m[i+1]) })
	half := len(crosses) / 2
	up, down := slices.Clone(crosses[:half]), crosses[half:]
	slices.Reverse(up)
	return inTurn(mains, r.freeFirst(inTurn(down, up), func(i int, c []plan.Strand) bool { return (len(c)-i)%2 == 0 }))
}

// freeFirst puts, of two neighbours that are alike, that one first on which no clamp stands.
func (r *recovery) freeFirst(order []plan.Strand, alike func(int, []plan.Strand) bool) []plan.Strand {
	for i := range max(len(order)-1, 0) {
		if alike(i, order) && r.gripped(order[i]) && !r.gripped(order[i+1]) {
			order[i], order[i+1] = order[i+1], order[i]
		}
	}
	return order
}

func (r *recovery) gripped(s plan.Strand) bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool { g := r.racket.Grip(c); return g != nil && g.On(s) })
}

// inTurn takes from two lists in turn, then what is left of the longer one.
func inTurn(a, b []plan.Strand) (out []plan.Strand) {
	for i := range max(len(a), len(b)) {
		if i < len(a) {
			out = append(out, a[i])
		}
		if i < len(b) {
			out = append(out, b[i])
		}
	}
	return out
}

// fallenKnots opens knots that slipped and are not trimmed, and a starting knot whose cross is cut out.
func (r *recovery) fallenKnots() {
	for _, k := range slices.Clone(r.racket.Knots()) {
		if k.Slipped || !r.racket.Laid(k.Strand) && (k.Trimmed && r.racket.BegunAnew(r.pieceOf(k.Strand))) {
			r.card(fmt.Sprintf("Open the knot in %s", k.Hole), func() {
				r.steady(k)
				r.op(plan.Op{Op: plan.Untie, Strand: k.Strand, Out: k.Out, Hole: k.Hole})
			})
		}
	}
}

// steady clamps the strand of a knot that creeps before that is opened: what it still holds stays held, and the tail can be pulled.
func (r *recovery) steady(k plan.Knot) {
	s, at := r.chordOf(k.Strand).Strand, plan.Spot{Strand: k.Strand, Hole: k.Out}
	creeps := !k.Trimmed && slices.ContainsFunc(r.racket.Corners(), func(c plan.Spot) bool { return c.Strand == k.Strand && !r.racket.Tight(k.Strand) })
	if c := r.free(r.holeOf(k.Out).Side); creeps && !r.t.flying() && r.racket.Grip(c) == nil && !r.stands(at) {
		r.grip(c, s, r.holeOf(k.Out), false)
	}
}

// takeOff ends the work on a cracked frame.
func (r *recovery) takeOff() {
	r.phase = plan.PhaseFinish
	r.card("Take the cracked frame off", func() {
		for _, s := range r.planner.t.Mount.Release {
			if slices.Contains(r.racket.Mounted(), s) {
				r.op(plan.Op{Op: plan.Dismount, Support: s})
			}
		}
		r.inspect("the crack: where, how long, a picture of it; the owner is told")
	})
}

// piecesToCut are the pieces that have to be cut out: broken ones, those whose wrong strand has a tail that is trimmed and cannot
// be drawn back, or that were let go up to such a tail, and, where the mains go, the crosses that are woven into them.
func (r *recovery) piecesToCut() map[plan.Piece]bool {
	out := map[plan.Piece]bool{}
	for _, s := range r.racket.Spans() {
		if s.Laid() && (r.bare || r.racket.Lost(s.Piece)) {
			out[s.Piece] = true
		}
	}
	for _, k := range r.racket.Knots() {
		s := r.racket.Span(k.Strand)
		letGo := s.Laid() && !s.Tight && !s.Slipped && r.atExit(k)
		if k.Trimmed && (k.Slipped || letGo) {
			out[r.pieceOf(k.Strand)] = true
		}
	}
	for _, o := range r.racket.Open() {
		if r.pullsAnew(o) {
			continue
		}
		if o.Fault == plan.FaultKink || !r.undoable(o) {
			out[r.pieceOf(o.Strand)] = true
		}
	}
	if out[plan.PieceMains] {
		out[plan.PieceCrosses] = true
	}
	return out
}

// anew says whether an open mishap is put right by pulling once more, where the strand is.
func (r *recovery) anew(o plan.Op) bool {
	_, can := anewAt(r.racket, o.Strand)
	chosen := o.Choose == plan.Anew || r.wrong.Fault == plan.FaultTension && r.wrong.Choose == plan.Anew
	return can && chosen && o.Fault == plan.FaultTension && o.Extent != plan.High
}

// pieceOf is the piece that a strand belongs to.
func (r *recovery) pieceOf(s plan.Strand) plan.Piece {
	switch {
	case r.terms.Pieces == 1:
		return plan.PieceWhole
	case s.IsMain():
		return plan.PieceMains
	}
	return plan.PieceCrosses
}
