package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// feed lays the two centre mains from the end where they loop and holds the one that is pulled second, so that the
// first pull has something to pull against.
func (h *planner) feed(piece plan.Piece) [2]tail {
	start, first := h.f.Start, h.t.Mains.First
	second := first.Other()
	h.begin("Feed the centre mains")
	var tails [2]tail
	m, o := h.f.Mains[second][0], h.f.Mains[first][0]
	if !h.laid(m) && !h.laid(o) {
		h.note(fmt.Sprintf("both ends in from outside at the %s, ends level", start))
	}
	tails[second] = h.lay(piece, m, m.At(start), tail{})
	tails[first] = h.lay(piece, o, o.At(start), tail{m.Strand, m.At(start)})
	switch at := h.feedAt(m, tails[first]); {
	case h.tight(m) || h.tight(o) || h.racket.Held(at):
	case h.t.flying():
		h.ungrip(plan.S)
		h.grip(plan.S, o.Strand, tails[first].hole, true)
	default:
		c := h.spare(second)
		h.ungrip(c)
		h.grip(c, m.Strand, m.At(start), false)
		if h.t.Clamps.Starting > 0 {
			h.ungrip(plan.S)
			h.grip(plan.S, m.Strand, m.At(start), false)
		}
	}
	h.end()
	return tails
}

// feedAt is the point at which the centre mains are held for the first pull: the loop end of the one that is pulled second,
// or, as flying clamps have nothing to pair it with, the tail of the first, outside.
func (h *planner) feedAt(second patterns.Chord, first tail) plan.Spot {
	if h.t.flying() {
		return h.spot(first.strand, first.hole)
	}
	return h.spot(second.Strand, second.At(h.f.Start))
}

// mainsPulls strings the first n mains of each side in the order of the technique; boosted says which are.
func (h *planner) mainsPulls(piece plan.Piece, n [2]int, boosted func(side patterns.Side, index int) bool) [2]tail {
	h.phase = plan.PhaseMains
	h.stretchString(h.stretch[0], piece, map[plan.Piece]string{plan.PieceMains: "the mains' string", plan.PieceWhole: "the string"}[piece])
	tails := h.feed(piece)
	var done [2]int
	for _, side := range turns(n, h.t.Mains.First, h.t.Mains.Lead, h.t.Mains.Overtake) {
		index := done[side]
		done[side]++
		h.main(piece, side, index, boosted(side, index), &tails[side])
	}
	return tails
}

// main pulls the next main of a side: threads it unless it is a centre main, pulls it, moves the side's clamp to it.
// The starting clamp comes off when both sides hold each other.
func (h *planner) main(piece plan.Piece, side patterns.Side, index int, boosted bool, t *tail) {
	m := h.f.Mains[side][index]
	if h.t.flying() && index == 0 {
		h.centre(m, boosted, t)
		return
	}
	h.begin(fmt.Sprintf("Main %d %s", m.Number, sideWord(side)))
	*t = h.lay(piece, m, m.At(h.endOf(t.hole)), *t) // the centre ones lie already
	if !h.tight(m) {
		h.pull(m.Strand, t.hole, boosted, false)
		h.startOff(side, index)
		h.move(m.Strand, t.hole)
	}
	h.startOff(side, index)
	h.end()
}

// centre pulls the centre main of the second side, and with it across the loop that of the first, against the starting clamp
// on the first one's tail; one flying clamp then grips both.
func (h *planner) centre(m patterns.Chord, boosted bool, t *tail) {
	first := h.t.Mains.First
	if m.Side == first {
		return
	}
	h.begin("Mains 1, both together")
	switch o := h.f.Mains[first][0]; {
	case !h.tight(m):
		h.pullBoth(m.Strand, o.Strand, t.hole, boosted)
		h.move(m.Strand, t.hole)
	case !h.tight(o): // of a racket that is taken up
		exit := h.holeOf(h.racket.Span(strand(o.Strand)).Out)
		h.pull(o.Strand, exit, boosted, false)
		h.move(o.Strand, exit)
	}
	h.startOff(m.Side, 0)
	h.end()
}

// startOff takes the starting clamp off the mains when the two centre ones hold each other.
func (h *planner) startOff(side patterns.Side, index int) {
	on := h.racket.Grip(plan.S)
	if index == 0 && h.tight(h.f.Mains[side.Other()][0]) && on != nil && on.Strand.IsMain() && h.racket.CanComeOff(plan.S) {
		h.ungrip(plan.S)
	}
}

// endOf is the end of the hoop at which a tail hangs out.
func (h *planner) endOf(hole patterns.Hole) patterns.End {
	for _, m := range h.f.Mains[hole.Side] {
		if m.At(patterns.Throat) == hole {
			return patterns.Throat
		}
		if m.At(patterns.Head) == hole {
			return patterns.Head
		}
	}
	return h.f.Nearer(hole)
}

func sideWord(s patterns.Side) string {
	if s == patterns.Left {
		return "left"
	}
	return "right"
}

// tieMain ties off the tail of a side of the mains.
func (h *planner) tieMain(t tail) error {
	return h.finish(t, fmt.Sprintf("Tie off the mains, %s", sideWord(t.hole.Side)))
}
