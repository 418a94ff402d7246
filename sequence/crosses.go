package sequence

import (
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// weaver strings crosses one after the other along the string.
type weaver struct {
	*planner
	piece plan.Piece
	order []patterns.Chord // in the order of stringing
	laid  int              // how many of order are woven
	told  bool             // the loop that weaving ahead needs has been explained
	end   tail             // where the next one is laid from
}

// startKnot is the knot that a string starts on; its tail is stopped inside the frame.
const startKnot = "bulky starting knot"

// crossesFrom are the crosses in the order in which they are strung from an end.
func (h *planner) crossesFrom(e patterns.End) []patterns.Chord {
	order := slices.Clone(h.f.Crosses)
	if e == patterns.Throat {
		slices.Reverse(order)
	}
	return order
}

// crossesApart strings the crosses with a string of their own.
func (h *planner) crossesApart() error {
	h.phase = plan.PhaseCrosses
	h.stretchString(h.stretch[1], plan.PieceCrosses, "the crosses' string")
	w := &weaver{planner: h, piece: plan.PieceCrosses, order: h.crossesFrom(h.t.Cross.From)}
	switch h.t.Cross.Start {
	case StartSkip:
		return w.skip()
	case StartKnot:
		return w.knot()
	}
	return w.clamp()
}

// weave lays the next cross as a step of its own.
func (w *weaver) weave() {
	c := w.order[w.laid]
	w.begin(fmt.Sprintf("Weave cross %d", c.Number))
	from := c.On(w.t.Cross.Side)
	if !w.end.none() {
		from = c.On(w.end.hole.Side)
	}
	before, lies := w.end, w.planner.laid(c)
	w.end = w.lay(w.piece, c, from, w.end)
	if !lies && w.t.Cross.Ahead && !w.told && !before.none() && before.strand.Kind == patterns.Cross && !w.racket.Tight(strand(before.strand)) && !w.together(w.laid) {
		w.told = true
		w.note(fmt.Sprintf("leave a loop of about twice the reach outside %s: the pull there takes it up, then draw the slack through", w.name(before.hole)))
	}
	w.laid++
	w.planner.end()
}

// pullCross pulls a cross at its exit as a step of its own and moves the clamps on.
func (w *weaver) pullCross(c patterns.Chord, boosted bool) {
	exit := w.holeOf(w.racket.Span(strand(c.Strand)).Out)
	title, also := fmt.Sprintf("Cross %d", c.Number), patterns.Strand{}
	if w.together(1) && c == w.order[1] {
		also = w.order[0].Strand
		title = fmt.Sprintf("Crosses %d and %d together", also.Number, c.Number)
	}
	w.begin(title)
	if !w.tight(c) {
		w.pullBoth(c.Strand, also, exit, boosted)
		w.op(plan.Op{Op: plan.Straighten, Strand: strand(c.Strand)})
		w.leapfrog(c.Strand, exit)
	}
	w.planner.end()
}

// leapfrog sets the free clamp on a strand that the gripper pulls and takes the one behind it off; with one free clamp it
// carries that on.
func (w *weaver) leapfrog(s patterns.Strand, exit patterns.Hole) {
	c := w.free(exit.Side)
	if w.t.Cross.Clamps == 1 || w.racket.Grip(c) != nil {
		w.carry(s, exit)
		return
	}
	w.grip(c, s, exit, false)
	w.release()
	w.tidy()
}

// carry moves the clamp that stands and can go, or a free one where none does, to a strand under the gripper's tension.
func (w *weaver) carry(s patterns.Strand, exit patterns.Hole) {
	c := w.free(exit.Side)
	for _, on := range []plan.Clamp{plan.A, plan.B} {
		if w.racket.Grip(on) != nil && w.racket.CanComeOff(on) {
			c = on
		}
	}
	w.ungrip(c)
	w.grip(c, s, exit, false)
	w.release()
	w.tidy()
}

// together says whether the cross at a place in the order is the second, which flying clamps let be pulled with the first.
func (w *weaver) together(i int) bool { return w.t.flying() && i == 1 }

// next weaves what has to be woven before the cross at a place in the order is pulled, then pulls it.
func (w *weaver) next(i int, boosted bool) {
	if w.laid == i {
		w.weave()
	}
	if w.together(i + 1) {
		return
	}
	if w.t.Cross.Ahead && w.laid == i+1 && w.laid < len(w.order) {
		w.weave()
	}
	w.pullCross(w.order[i], boosted)
}

// runOut strings the crosses from a place in the order to the last one, which is boosted and tied off. After the pull
// of the cross at index pause it calls between.
func (w *weaver) runOut(from, pause int, between func() error) error {
	last := len(w.order) - 1
	for i := from; i <= last; i++ {
		w.next(i, i == last)
		if i == pause {
			if err := between(); err != nil {
				return err
			}
		}
	}
	return w.finish(w.end, fmt.Sprintf("Tie off cross %d", w.order[last].Number))
}

// startOf is the hole by which the first cross begins: its own, or the wrong one where it stays by name.
func (w *weaver) startOf(c patterns.Chord) patterns.Hole {
	if span := w.racket.Span(strand(c.Strand)); span.Laid() {
		return w.holeOf(span.In)
	}
	return c.On(w.t.Cross.Side)
}

// clamp starts with the starting clamp outside on the first cross; its tail is pulled again and tied later.
func (w *weaver) clamp() error {
	c := w.order[0]
	first := tail{c.Strand, w.startOf(c)}
	w.begin(fmt.Sprintf("Weave cross %d", c.Number))
	w.end = w.lay(w.piece, c, first.hole, tail{})
	w.laid = 1
	if !w.tight(c) && !w.racket.Held(w.spot(c.Strand, first.hole)) {
		w.grip(plan.S, c.Strand, first.hole, true)
	}
	w.planner.end()
	repull := func() error { return w.repull(first) }
	if third := 2; !w.t.Cross.RepullEnd && w.t.Cross.Clamps == 2 && len(w.order) > third+1 {
		return w.runOut(0, third, repull)
	}
	if err := w.runOut(0, -1, nil); err != nil {
		return err
	}
	return repull()
}

// repull finishes the first cross's tail: pulls it again with the boost, takes the starting clamp off, ties.
func (w *weaver) repull(first tail) error {
	at := w.spot(first.strand, first.hole)
	w.begin(fmt.Sprintf("Cross %d again, at its start", first.strand.Number))
	s, ended := w.racket.Grip(plan.S), w.racket.Span(at.Strand).Ended
	if w.racket.KnotOf(at) == nil && (s != nil || !w.racket.Held(at) || !ended) {
		w.pull(first.strand, first.hole, true, true)
		w.endStart(at)
	}
	w.planner.end()
	return w.finish(first, fmt.Sprintf("Tie off the start of cross %d", first.strand.Number))
}

// endStart sets a clamp in the place of the starting clamp, once the first cross's tail is pulled, and eases the gripper.
func (h *planner) endStart(at plan.Spot) {
	h.ungrip(plan.S)
	h.clampsOffAt(at) // of a racket that is taken up
	h.gripSpare(h.chordOf(at.Strand).Strand, h.holeOf(at.Hole))
	h.release()
	h.tidy()
}

// knot starts on a starting knot, which needs no second pull.
func (w *weaver) knot() error {
	c := w.order[0]
	t := tail{c.Strand, w.startOf(c)}
	w.begin(fmt.Sprintf("Starting knot for cross %d", c.Number))
	if w.racket.KnotOf(w.spot(t.strand, t.hole)) == nil {
		if err := w.tie(t, startKnot); err != nil {
			return err
		}
	}
	w.trim(t)
	w.planner.end()
	return w.runOut(0, -1, nil)
}

// skip weaves and pulls the second cross first; the first is doubled back from it and pulled last.
func (w *weaver) skip() error {
	first, second := w.order[0], w.order[1]
	begin := second.On(w.t.Cross.Side.Other())
	w.begin(fmt.Sprintf("Weave cross %d", second.Number))
	lies := w.planner.laid(second)
	w.end = w.lay(w.piece, second, begin, tail{})
	if !lies {
		w.note(fmt.Sprintf("with the long end; the short end stays outside %s for cross %d", w.name(begin), first.Number))
	}
	w.planner.end()
	w.begin(fmt.Sprintf("Double back: weave cross %d", first.Number))
	lies = w.planner.laid(first)
	last := w.lay(w.piece, first, first.On(begin.Side), tail{second.Strand, begin})
	if !lies {
		w.note(fmt.Sprintf("with the short end; leave its tail slack outside %s, it is pulled last", w.name(last.hole)))
	}
	if !w.tight(first) && !w.racket.Held(w.spot(second.Strand, begin)) {
		w.grip(plan.S, second.Strand, begin, true)
	}
	w.planner.end()
	w.laid = 2
	if err := w.runOut(1, -1, nil); err != nil {
		return err
	}
	w.begin(fmt.Sprintf("Cross %d, deferred until now", first.Number))
	if !w.tight(first) {
		w.pull(first.Strand, last.hole, true, false)
		w.op(plan.Op{Op: plan.Straighten, Strand: strand(first.Strand)})
		w.ungrip(plan.S)
		w.gripSpare(first.Strand, last.hole)
		w.release()
		w.tidy()
	}
	w.planner.end()
	return w.finish(last, fmt.Sprintf("Tie off cross %d", first.Number))
}
