package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// clamps puts right what clamps lost: first those that let go, for to set one again that crept there must be no slack behind it.
func (r *recovery) clamps() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && !r.racket.Holds(c) {
			r.letGo(c, *g)
		}
	}
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && r.racket.Slipped(c) != "" {
			r.crept(c, *g, r.racket.Slipped(c))
		}
	}
	r.uselessOff()
}

// uselessOff takes clamps off string that has gone slack on both sides.
func (r *recovery) uselessOff() {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && r.useless(c, *g) {
			r.card(fmt.Sprintf("Clamp %s off", c), func() {
				r.press(g.Strand, g.Hole, fmt.Sprintf("beside clamp %s: is it slack on both sides? if it is tight, let the gripper take it there, and give way slowly when the clamp is off", c))
				r.ungrip(c)
			})
		}
	}
}

// useless says whether a clamp grips string that has gone slack on both sides. Only where a piece was begun one waits for a pull;
// at a tail none but the starting clamp: the tail is pulled again later.
func (r *recovery) useless(c plan.Clamp, g plan.Grip) bool {
	s := r.racket.Span(g.Strand)
	tail := c != plan.S && r.beyond(g) == plan.Spot{}
	return (s.Slipped || !r.begun(g) || tail) && !s.Tight && !r.racket.Tight(r.beyond(g).Strand) && (g.With == "" || r.racket.Spare(c))
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
	text := fmt.Sprintf("clamp %s: jaws cleaned and set to the gauge of the string", c)
	if e == plan.Base {
		text = fmt.Sprintf("clamp %s: rail and base cleaned, the base locks again", c)
	}
	r.inspect(text)
}

// crept sets a clamp again that still holds: the gripper takes the load at that exit, then it comes off.
func (r *recovery) crept(c plan.Clamp, g plan.Grip, extent plan.Extent) {
	at := plan.Spot{Strand: g.Strand, Hole: g.Hole}
	if other := r.racket.Beside(g); g.With != "" && r.tightOutside(at) && !r.tightOutside(other) {
		at = other // tension ends there
	}
	switch {
	case r.racket.Spare(c):
		r.again(c, g, extent)
		return
	case !r.racket.Tight(at.Strand):
		r.behindLoop(c, g, extent)
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

// take has the gripper take the load at a point of the string.
func (r *recovery) take(at plan.Spot) { r.op(r.taking(at)) }

func (r *recovery) taking(at plan.Spot) plan.Op {
	return r.pulling(r.chordOf(at.Strand).Strand, r.holeOf(at.Hole), r.wasBoosted(at.Strand) || r.finishes(at), true)
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

// again sets a clamp again that nothing tight needs.
func (r *recovery) again(c plan.Clamp, g plan.Grip, e plan.Extent) {
	r.card(fmt.Sprintf("Clamp %s again, on %s", c, g.Strand), func() {
		r.ungrip(c)
		r.clean(c, e)
		r.set(c, g)
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
	r.pullOut(plan.Spot{Strand: g.Strand, Hole: g.Hole}, func() { r.set(c, g) })
}

// takeUp pulls slack out that lies behind a strand which the gripper lost.
func (r *recovery) takeUp() {
	if r.wrong.Fault != plan.FaultGripper && r.wrong.Fault != plan.FaultBreak && r.wrong.Fault != plan.FaultKnot {
		return
	}
	s := r.racket.Span(r.wrong.Strand)
	if s == nil || !s.Slipped {
		return
	}
	at := plan.Spot{Strand: s.Strand, Hole: s.Out}
	r.pullOut(at, func() { r.hold(at) })
}

// openKnots pulls strands again whose knot came open, before anything takes their corners away.
func (r *recovery) openKnots() {
	for _, c := range slices.Clone(r.racket.Corners()) {
		s := r.racket.Span(c.Strand)
		at := r.farHole(c)
		if !s.Tight && s.Slipped {
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}

// pullOut walks the slack of a cell to a point of it and pulls there, when few strands lie between the next holder and the
// point; set then sets the clamp.
func (r *recovery) pullOut(at plan.Spot, set func()) {
	slack, ok := r.slackTo(at)
	switch {
	case !ok:
		return
	case !r.few(slack):
		if k := r.racket.KnotOf(plan.Spot{Strand: slack[0], Hole: r.racket.Span(slack[0]).Out}); k != nil {
			r.oneByOne(slack, at)
		}
		return
	}
	if loop := r.pastLoop(slack); loop != "" {
		r.card(fmt.Sprintf("Look: is %s slack?", loop), func() {
			r.op(plan.Op{Op: plan.Inspect, Strand: loop, Text: fmt.Sprintf("feel %s, beyond the centre loop: is it slack? if it is, its slack is walked out first; if it is tight, leave it, and begin with what is slack", loop)})
		})
	}
	r.card(fmt.Sprintf("Walk the slack out, pull %s", at.Strand), func() {
		if len(slack) > 1 {
			r.op(plan.Op{Op: plan.WalkSlack, Strands: slack})
		}
		r.take(at)
		set()
		r.release()
	})
}

// oneByOne pulls strands again, each at the end that lies towards a point, from a knot on: a tail that is tied cannot be
// undone. One that flying clamps cannot hold, with nothing tight beside it, is pulled together with the next.
func (r *recovery) oneByOne(slack []plan.Strand, at plan.Spot) {
	also := plan.Strand("")
	for i, s := range slack {
		to, last := at, i+1 == len(slack)
		if !last {
			to = plan.Spot{Strand: s, Hole: r.racket.Span(s).Out}
			if r.racket.Next(s).Strand != slack[i+1] {
				to.Hole = r.racket.Span(s).In
			}
		}
		if also == "" && r.t.flying() && r.beside(r.chordOf(s).Strand) == "" && (!last || !r.startsHere(to)) {
			also = s
			continue // the last one is pulled with the strand that comes after it
		}
		title := fmt.Sprintf("Pull %s again, at %s", s, to.Hole)
		if also != "" {
			title = fmt.Sprintf("Pull %s and %s again, at %s", also, s, to.Hole)
		}
		r.card(title, func() {
			pull := r.taking(to)
			pull.Also, also = also, ""
			r.op(pull)
			if r.startsHere(to) {
				r.grip(plan.S, r.chordOf(to.Strand).Strand, r.holeOf(to.Hole), true)
			} else {
				r.hold(to)
			}
			r.release()
			r.tidy()
		})
	}
}

// startsHere says whether a point is the start of the crosses' string, which the starting clamp holds until it is finished.
func (r *recovery) startsHere(at plan.Spot) bool {
	free := r.racket.Grip(plan.S) == nil && r.terms.Starting > 0 && r.terms.Pieces == 2 && r.terms.Start != string(StartKnot)
	return free && at.Strand[0] == 'C' && r.racket.Before(at.Strand).Strand == "" && r.racket.At(r.racket.Span(at.Strand).In) == r.racket.At(at.Hole)
}

// few says whether slack is walked out of so many strands.
func (r *recovery) few(slack []plan.Strand) bool {
	limit := r.terms.WalkStrands()
	mains := 0
	for _, s := range slack {
		if s[0] == 'M' {
			mains++
		}
	}
	return mains <= limit.Mains && len(slack)-mains <= limit.Crosses
}

// pastLoop is the centre main on the far side of the centre loop, when slack lies on both.
func (r *recovery) pastLoop(slack []plan.Strand) plan.Strand {
	if slices.Contains(slack, plan.Strand("M1L")) && slices.Contains(slack, plan.Strand("M1R")) {
		if strings.HasSuffix(string(slack[len(slack)-1]), "L") {
			return "M1R"
		}
		return "M1L"
	}
	return ""
}

// slackTo are the slack strands from the next holder to a point, in that order, when all of them slipped, something holds
// behind them and nothing tight lies at the point.
func (r *recovery) slackTo(at plan.Spot) ([]plan.Strand, bool) {
	slack := r.racket.Cell(at)
	if r.racket.KnotOf(at) != nil {
		return nil, false
	}
	if len(slack) == 0 || slack[len(slack)-1] != at.Strand {
		return nil, false
	}
	for _, s := range slack {
		if !r.racket.Span(s).Slipped {
			return nil, false
		}
	}
	try := r.racket.Clone()
	if try.Apply(&plan.Op{Op: plan.Pull, Strand: at.Strand, Hole: at.Hole, Repull: true}); !try.Tight(slack[0]) {
		return nil, false
	}
	return slack, true
}
