package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// clamps puts right what clamps lost: first those that let go, for to set one again that crept there must be no slack behind it.
func (r *recovery) clamps() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && !r.racket.Holds(c) {
			r.letGo(c, *g)
		}
	}
	if r.anySlipped() && r.lowStays() && !r.setsLater() {
		r.setAgain()
	}
	r.walkOn()
	r.uselessOff()
}

// walkOn walks slack on that lies beyond a clamp which grips it, where that may be the shorter way.
func (r *recovery) walkOn() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && g.With == "" && r.useless(c, *g) && r.racket.Span(g.Strand).Slipped && r.otherwise(walkOn) {
			at := r.farEnd("", r.slackFrom(g.Strand, r.beyond(*g).Strand))
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}

// setAgain sets clamps again that slipped and still hold.
func (r *recovery) setAgain() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && r.racket.Slipped(c) != "" {
			r.crept(c, *g, r.racket.Slipped(c))
		}
	}
}

// off takes a clamp off, and has it cleaned if it slipped.
func (r *recovery) off(c plan.Clamp) {
	e := r.racket.Slipped(c)
	if r.ungrip(c); e != "" {
		r.clean(c, e)
	}
}

// uselessOff takes clamps off string that has gone slack on both sides.
func (r *recovery) uselessOff() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && r.useless(c, *g) {
			r.card(fmt.Sprintf("Clamp %s off", c), func() {
				do, tight := plan.GripTight, "let the gripper take it there, and give way slowly when the clamp is off"
				if r.loop != "" && g.Strand[len(g.Strand)-1] == r.loop[len(r.loop)-1] {
					do, tight = plan.LeaveTight, fmt.Sprintf("leave the clamp: take back what was told, and say that %s is tight", r.loop)
				}
				r.press(g.Strand, g.Hole, do, fmt.Sprintf("beside clamp %s: is it slack on both sides? if it is tight, %s", c, tight))
				r.ungrip(c)
			})
		}
	}
}

// useless says whether a clamp grips string that has gone slack on both sides. Only where a piece was begun one waits for a pull;
// at a tail none but the starting clamp: the tail is pulled again later. The starting clamp stays where the crosses begin.
func (r *recovery) useless(c plan.Clamp, g plan.Grip) bool {
	s := r.racket.Span(g.Strand)
	if c == plan.S && g.Strand.IsCross() && r.begun(g) {
		return false
	}
	tail := c != plan.S && r.beyond(g) == plan.Spot{}
	return (s.Slipped || !r.begun(g) || tail) && !s.Tight && !r.racket.Tight(r.beyond(g).Strand) && (g.With == "" || r.racket.CanComeOff(c))
}

// tightOutside says whether the string is tight outside a point.
func (r *recovery) tightOutside(at plan.Spot) bool {
	return r.racket.Tight(r.beyond(plan.Grip{Strand: at.Strand, Hole: at.Hole}).Strand)
}

// begun says whether a clamp stands where a piece was begun: where the strand came in that was laid before its neighbours.
func (r *recovery) begun(g plan.Grip) bool {
	s, before := r.racket.Span(g.Strand), r.racket.Span(r.racket.Before(g.Strand).Strand)
	return r.racket.At(s.In) == r.racket.At(g.Hole) && (before == nil || before.Nth > s.Nth)
}

// beyond is where the string goes on outside the hole where a clamp grips.
func (r *recovery) beyond(g plan.Grip) plan.Spot {
	if s := r.racket.Span(g.Strand); r.racket.At(s.Out) == r.racket.At(g.Hole) {
		return r.racket.Next(g.Strand)
	}
	return r.racket.Before(g.Strand)
}

// clean is what is done to a clamp before it is set again.
func (r *recovery) clean(c plan.Clamp, e plan.Extent) {
	how := plan.JawsCleaned
	if e == plan.Base {
		how = plan.BaseCleaned
	}
	r.inspect("clamp " + string(c) + how)
	if e != plan.Base {
		r.inspect("the string where its jaws were: no nick, else the piece is replaced")
	}
}

// crept sets a clamp again that still holds: the gripper takes the load at that exit, then it comes off.
func (r *recovery) crept(c plan.Clamp, g plan.Grip, extent plan.Extent) {
	at := plan.Spot{Strand: g.Strand, Hole: g.Hole}
	if other := r.racket.Beside(g); g.With != "" && (r.tightOutside(at) || r.racket.KnotOf(at) != nil) && !r.tightOutside(other) {
		at = other // tension ends there
	}
	if r.racket.Tight(at.Strand) {
		r.pullBeyond(at)
	}
	switch pulls := r.racket.Gripper(); {
	case pulls != nil && r.racket.Same(*pulls, at):
		r.card(fmt.Sprintf("Clamp %s again, on %s", c, g.Strand), func() {
			in := r.standIn(c, g, at)
			r.ungrip(c)
			r.clean(c, extent)
			if r.racket.Span(at.Strand).Low { // not drawn tight by that
				r.take(at)
			}
			r.set(c, g)
			r.release()
			r.standOff(in)
		})
		return
	case r.racket.CanComeOff(c):
		r.again(c, g, extent)
		return
	case !r.racket.Tight(at.Strand):
		r.behindLoop(c, g, extent)
		return
	}
	if c == plan.S && r.startEnds(at) {
		r.card(fmt.Sprintf("Clamp the start of %s", at.Strand), func() {
			r.take(at)
			r.endStart(at)
			r.clean(c, extent)
		})
		return
	}
	if by := other(c); c != plan.S && !r.t.flying() && r.racket.Grip(by) == nil && (g.Strand.IsMain() || r.terms.CrossClamps > 1) {
		r.takesOver(by, c, g, extent)
		return
	}
	r.card(fmt.Sprintf("Clamp %s again, on %s", c, g.Strand), func() {
		r.take(at)
		in := r.standIn(c, g, at)
		r.ungrip(c)
		r.clean(c, extent)
		r.set(c, g)
		r.release()
		r.standOff(in)
	})
}

// takesOver sets a free clamp in the place of one that crept, which is cleaned afterwards: nothing hangs on the gripper alone meanwhile.
func (r *recovery) takesOver(by, c plan.Clamp, g plan.Grip, extent plan.Extent) {
	r.card(fmt.Sprintf("Clamp %s for %s, on %s", by, c, g.Strand), func() {
		r.take(plan.Spot{Strand: g.Strand, Hole: g.Hole})
		r.ungrip(c)
		r.set(by, g)
		r.release()
		r.clean(c, extent)
	})
}

// take has the gripper take the load at a point of the string.
func (r *recovery) take(at plan.Spot) { r.op(r.taking(at)) }

func (r *recovery) taking(at plan.Spot) plan.Op {
	return r.pulling(r.chordOf(at.Strand).Strand, r.holeOf(at.Hole), r.racket.BoostedAt(at) || r.finishes(at), true)
}

// finishes says whether a pull at a point is one that finishes the first cross's tail: at its start, where it lost nothing.
func (r *recovery) finishes(at plan.Spot) bool {
	first := r.crossesFrom(r.t.Cross.From)[0].Strand
	s := r.racket.Span(at.Strand)
	return r.terms.Pieces == 2 && r.t.Cross.Start == StartClamp && at.Strand == strand(first) && s.Tight && !s.Low && r.racket.At(s.In) == r.racket.At(at.Hole)
}

// set puts a clamp where it stood.
func (r *recovery) set(c plan.Clamp, g plan.Grip) {
	r.op(plan.Op{Op: plan.ClampOn, Clamp: c, Strand: g.Strand, Hole: g.Hole, Outside: g.Outside, With: g.With})
}

// behindLoop sets a clamp again that stands on a slack strand and holds the tight one on the other side of its loop: what it
// holds is let go at its own exit and pulled again afterwards.
func (r *recovery) behindLoop(c plan.Clamp, g plan.Grip, e plan.Extent) {
	tight := r.beyond(g)
	exit := plan.Spot{Strand: tight.Strand, Hole: r.racket.Span(tight.Strand).Out}
	r.undoPull(exit)
	r.again(c, g, e)
}

// again sets a clamp again that nothing tight needs, unless it would come off as the string is tight on both sides.
func (r *recovery) again(c plan.Clamp, g plan.Grip, e plan.Extent) {
	title, off := fmt.Sprintf("Clamp %s again, on %s", c, g.Strand), r.racket.Gripper() == nil && r.idles(c)
	if off {
		title = fmt.Sprintf("Clamp %s off and clean", c)
	}
	r.card(title, func() {
		r.ungrip(c)
		if r.clean(c, e); !off {
			r.set(c, g)
		}
	})
}

// letGo takes a clamp off that holds nothing any more and cleans it. Over few strands the slack is walked to where it stood
// and pulled out there; over more they are strung again.
func (r *recovery) letGo(c plan.Clamp, g plan.Grip) {
	r.card(fmt.Sprintf("Clamp %s off and clean", c), func() {
		r.ungrip(c)
		r.clean(c, plan.Gone)
		if c == plan.S && r.racket.Tight(g.Strand) && r.startsHere(plan.Spot{Strand: g.Strand, Hole: g.Hole}) {
			r.set(c, g) // another clamp holds there now, and is to come off
		}
	})
	r.holdFelt()
	at := plan.Spot{Strand: g.Strand, Hole: g.Hole}
	r.pullOut(at, func() {
		if r.racket.Grip(c) != nil { // it holds what was pulled again on the way
			r.hold(at)
			return
		}
		r.set(c, g)
	})
}

// takeUp pulls slack out that lies behind a strand which the gripper lost.
func (r *recovery) takeUp() {
	if r.wrong.Fault != plan.FaultGripper && r.wrong.Fault != plan.FaultBreak && r.wrong.Fault != plan.FaultKnot {
		return
	}
	s := r.racket.Span(r.wrong.Strand)
	if s == nil || !s.Slipped || r.undone(s.Strand) {
		return
	}
	at := r.exit(s.Strand)
	if far := r.farHole(at); r.stands(at) && !r.tightOutside(far) { // it was pulled at its start
		at = far
	}
	if r.wrong.Fault == plan.FaultGripper {
		r.card("Look at the gripper", func() {
			r.inspect("the gripper: its jaws are clean and hold; grip a fresh stretch of string, not what slipped")
		})
	}
	if len(r.racket.Open()) == 0 || !r.otherwise(staysOut) {
		r.pullOut(at, func() { r.hold(at) })
	}
}

// holdFelt clamps what was felt to be tight, so that what slipped alone is pulled again. Where no clamp can be spared corners and weave
// hold it.
func (r *recovery) holdFelt() {
	for _, at := range slices.Clone(r.racket.Corners()) {
		if !r.racket.Tight(at.Strand) {
			continue // a knot's
		}
		s := r.chordOf(at.Strand).Strand
		r.card(fmt.Sprintf("Hold %s, which is still tight", at.Strand), func() {
			c := r.spare(s.Side)
			g := r.racket.Grip(c)
			switch free := g == nil || c != r.wrong.Clamp && r.racket.Tight(g.Strand) && r.racket.Holds(c) && r.racket.CanComeOff(c); {
			case r.stands(at):
			case at.Strand.IsMain() && r.terms.Starting > 0 && r.racket.Grip(plan.S) == nil:
				r.grip(plan.S, s, r.holeOf(at.Hole), false)
			case free && (!r.t.flying() || r.beside(s) != ""):
				r.ungrip(c)
				r.grip(c, s, r.holeOf(at.Hole), false)
			}
		})
	}
}

// stands says whether a clamp stands at a point.
func (r *recovery) stands(at plan.Spot) bool {
	return slices.ContainsFunc(plan.Clamps(), func(c plan.Clamp) bool {
		g := r.racket.Grip(c)
		return g != nil && r.grips(*g, at)
	})
}

// openKnots pulls strands again whose knot came open, before anything takes their corners away.
func (r *recovery) openKnots() {
	for _, c := range slices.Clone(r.racket.Corners()) {
		s := r.racket.Span(c.Strand)
		at := r.farHole(c)
		switch {
		case !s.Slipped:
		case r.stands(at):
			r.pullAnew(at)
		default:
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}
