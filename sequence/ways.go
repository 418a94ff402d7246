package sequence

import (
	"errors"
	"fmt"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// stringAll lays and pulls the whole racket in the way of the technique. The error is a source.Problems.
func (h *planner) stringAll() error {
	if err := h.way(); err != nil {
		tie := source.Problem{}
		if !errors.As(err, &tie) {
			return err
		}
		h.problems = append(h.problems, tie)
	}
	if h.problems != nil {
		return h.problems.Sorted()
	}
	return nil
}

func (h *planner) way() error {
	switch {
	case h.t.Pieces == 2:
		return h.twoPieces()
	case h.t.Around:
		return h.around()
	}
	return h.onePiece()
}

func (h *planner) twoPieces() error {
	n := h.full()
	tails := h.mainsPulls(plan.PieceMains, n, func(side patterns.Side, index int) bool { return index >= n[side]-h.t.Mains.Boost })
	for _, side := range [2]patterns.Side{h.t.Mains.First, h.t.Mains.First.Other()} {
		if err := h.tieMain(tails[side]); err != nil {
			return err
		}
	}
	return h.crossesApart()
}

// full is the number of mains of each side.
func (h *planner) full() [2]int { return [2]int{len(h.f.Mains[0]), len(h.f.Mains[1])} }

// wholeMains strings n mains of each side with the one string for all; the short side ends with a boost and a knot.
// It returns the long side's tail.
func (h *planner) wholeMains(n [2]int) (tail, error) {
	short := h.t.Mains.Short
	tails := h.mainsPulls(plan.PieceWhole, n, func(side patterns.Side, index int) bool {
		return side == short && index == n[short]-1
	})
	return tails[short.Other()], h.tieMain(tails[short])
}

// onePiece runs on from the long side's last main to the crosses.
func (h *planner) onePiece() error {
	end, err := h.wholeMains(h.full())
	if err != nil {
		return err
	}
	h.phase = plan.PhaseCrosses
	w := &weaver{planner: h, piece: plan.PieceWhole, order: h.crossesFrom(h.t.Cross.From), end: end}
	return w.runOut(0, -1, nil)
}

// around takes the long side across the lowest crosses, up the short side's outer main, over to the first cross and
// down: for mains that end at the throat, where the crosses could not begin at the head.
func (h *planner) around() error {
	n := h.full()
	short := h.t.Mains.Short
	n[short]--
	end, err := h.wholeMains(n)
	if err != nil {
		return err
	}
	h.phase = plan.PhaseCrosses
	low := h.lowCrosses()
	all := h.crossesFrom(patterns.Throat)
	bottom := &weaver{planner: h, piece: plan.PieceWhole, order: all[:low:low], end: end}
	for i := range bottom.order {
		bottom.next(i, false)
	}
	bottom.outer(h.f.Mains[short][n[short]])
	w := &weaver{planner: h, piece: plan.PieceWhole, order: h.crossesFrom(patterns.Head)[:len(all)-low], end: bottom.end}
	return w.runOut(0, -1, nil)
}

// outer threads and pulls the outer main that comes after the low crosses.
func (w *weaver) outer(m patterns.Chord) {
	w.begin(fmt.Sprintf("Main %d %s, the outer one", m.Number, sideWord(m.Side)))
	w.end = w.lay(w.piece, m, m.At(w.endOf(w.end.hole)), w.end)
	if !w.tight(m) {
		w.pull(m.Strand, w.end.hole, false, false)
		w.carry(m.Strand, w.end.hole)
	}
	w.planner.end()
}

// lowCrosses is how many crosses come before the outer main: one, or as many more, an odd number, as keep the run from
// the last of them to the main short, and none that meets the main, which is not there yet. What lies already stays as it is, by whatever
// layout it came there.
func (h *planner) lowCrosses() int {
	mains := h.f.Mains[h.t.Mains.Short]
	outer := mains[len(mains)-1]
	order := h.crossesFrom(patterns.Throat)
	low := 1
	for i, c := range order {
		switch main := strand(outer.Strand); {
		case h.laid(outer) && h.racket.Before(main).Strand == strand(c.Strand):
			return i + 1
		case h.laid(c) && !h.laid(outer):
			low = i + 1 + i%2
		}
	}
	for n := low; n <= len(order) && !h.f.Interleaves(order[n-1], outer); n += 2 {
		from, to := order[n-1].On(h.t.Mains.Short), outer.At(patterns.Throat)
		if max(from.N-to.N, to.N-from.N) <= longRun {
			return n
		}
	}
	return low
}
