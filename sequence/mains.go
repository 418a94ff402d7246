package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// feed lays the two centre mains from the end where they loop and holds the one that is pulled second, so that the
// first pull has something to pull against.
func (h *hands) feed(piece plan.Piece) [2]tail {
	start, first := h.f.Start, h.t.Mains.First
	second := first.Other()
	h.begin("Feed the centre mains")
	h.note(fmt.Sprintf("both ends in from outside at the %s, ends level", start))
	var tails [2]tail
	m := h.f.Mains[second][0]
	tails[second] = h.lay(piece, m, m.At(start), tail{})
	o := h.f.Mains[first][0]
	tails[first] = h.lay(piece, o, o.At(start), tail{m.Strand, m.At(start)})
	h.grip(clampOf(second), m.Strand, m.At(start), false)
	if h.t.Clamps.Starting > 0 {
		h.grip(plan.S, m.Strand, m.At(start), false)
	}
	h.end()
	return tails
}

// mainsPulls strings the first n mains of each side in the order of the technique; boosted says which are.
func (h *hands) mainsPulls(piece plan.Piece, n [2]int, boosted func(side patterns.Side, index int) bool) [2]tail {
	h.phase = plan.PhaseMains
	h.stretchString(h.stretch[0], map[plan.Piece]string{plan.PieceMains: "the mains' string", plan.PieceWhole: "the string"}[piece])
	tails := h.feed(piece)
	var done [2]int
	for i, side := range turns(n, h.t.Mains.First, h.t.Mains.Lead, h.t.Mains.Overtake) {
		index := done[side]
		done[side]++
		h.main(piece, side, index, boosted(side, index), i == 1, &tails[side])
	}
	return tails
}

// main pulls the next main of a side: threads it unless it is a centre main, pulls it, moves the side's clamp to it.
// The starting clamp comes off at the second pull, when both sides hold each other.
func (h *hands) main(piece plan.Piece, side patterns.Side, index int, boosted, second bool, t *tail) {
	m := h.f.Mains[side][index]
	h.begin(fmt.Sprintf("Main %d %s", m.Number, sideWord(side)))
	if index > 0 {
		*t = h.lay(piece, m, m.At(h.endOf(t.hole)), *t)
	}
	h.pull(m.Strand, t.hole, boosted, false)
	if second {
		h.ungrip(plan.S)
	}
	h.move(m.Strand, t.hole)
}

// move takes the clamp of a side, under the gripper's tension, to a strand's exit, and ends the step.
func (h *hands) move(s patterns.Strand, exit patterns.Hole) {
	h.ungrip(clampOf(exit.Side))
	h.grip(clampOf(exit.Side), s, exit, false)
	h.release()
	h.end()
}

// endOf is the end of the hoop at which a tail hangs out.
func (h *hands) endOf(hole patterns.Hole) patterns.End {
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
func (h *hands) tieMain(t tail) error {
	return h.finish(t, fmt.Sprintf("Tie off the mains, %s", sideWord(t.hole.Side)))
}
