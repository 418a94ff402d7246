package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// pullOut walks the slack of a cell to a point of it and pulls there, when few strands lie between the next holder and the
// point; set then sets the clamp. Over more the crosses woven last come out first, if that is less work than to pull strand by strand.
func (r *recovery) pullOut(at plan.Spot, set func()) {
	if slack, ok := r.slackTo(at); ok && (!r.comesOut(slack) || r.cornered(slack)) {
		r.walkAndPull(slack, at, set)
	}
}

// walkAndPull does that with the slack of a cell, be it that its strands come out later.
func (r *recovery) walkAndPull(slack []plan.Strand, at plan.Spot, set func()) {
	if woven := slices.Concat(slack, r.laidSince(at)); !r.few(slack) || len(slack) > 1 && !r.few(woven) {
		k, n := r.racket.KnotOf(plan.Spot{Strand: slack[0], Hole: r.racket.Span(slack[0]).Out}), r.walkFrom(slack)
		if k != nil || slack[0].IsCross() && (r.towardsStart(slack) || n == 0 && r.anyTogether(slack)) {
			r.oneByOne(slack, at, set)
			return
		}
		if n == 0 {
			return
		}
		for _, s := range slices.Backward(woven[r.terms.WalkStrands().Crosses:]) {
			r.drawOut(s)
		}
		if slack = slack[:n]; at.Strand != slack[n-1] {
			at = r.farEnd("", slack)
			set = func() { r.hold(at) }
		}
	}
	if r.backTo(at); len(slack) == 1 && r.t.flying() && r.beside(r.chordOf(at.Strand).Strand) == "" {
		return // no clamp can hold it alone: it is pulled together with the next one
	}
	if loop := r.pastLoop(slack); loop != "" {
		r.card(fmt.Sprintf("Look: is %s slack?", loop), func() {
			r.op(plan.Op{Op: plan.Inspect, Strand: loop, Tight: plan.LeaveTight, Text: fmt.Sprintf("feel %s, beyond the centre loop: is it slack? if it is, its slack is walked out first; if it is tight, leave it, and begin with what is slack", loop)})
		})
	}
	title := fmt.Sprintf("Pull %s again", at.Strand)
	if len(slack) > 1 {
		title = fmt.Sprintf("Walk the slack out, pull %s", at.Strand)
	}
	r.card(title, func() {
		if len(slack) > 1 {
			r.op(plan.Op{Op: plan.WalkSlack, Strands: slack})
		}
		r.take(at)
		set()
		r.release()
	})
}

// walkEnds walks the slack out that slipped and lies at the end of its line, where more than one strand did, if that is wanted.
func (r *recovery) walkEnds(wanted func() bool) {
	for _, s := range r.racket.Newest() {
		at := r.exit(s.Strand)
		if slack, ok := r.slackTo(at); s.Slipped && ok && len(slack) > 1 && wanted() {
			r.pullOut(at, func() { r.hold(at) })
		}
	}
}

// comesOut says whether all of some strands are drawn out, or moved, for what lies wrong: nobody pulls them before.
func (r *recovery) comesOut(strands []plan.Strand) bool {
	var out []plan.Strand
	for _, o := range r.racket.Open() {
		if !late(o) {
			out = append(out, r.toUndo(o)...)
		}
	}
	return !slices.ContainsFunc(strands, func(s plan.Strand) bool { return !slices.Contains(out, s) })
}

// cornered says whether a corner of some slack strands alone holds what is tight beyond them: it is let go from there.
func (r *recovery) cornered(slack []plan.Strand) bool {
	return slices.ContainsFunc(r.racket.Corners(), func(c plan.Spot) bool { return slices.Contains(slack, c.Strand) && r.tightOutside(c) })
}

// laidSince are the strands that lie slack beyond a point and were laid after its own: the gripper's bight is drawn back through them.
func (r *recovery) laidSince(at plan.Spot) []plan.Strand {
	nth := r.racket.Span(at.Strand).Nth
	return slices.DeleteFunc(r.racket.SlackBeyond(at), func(s plan.Strand) bool { return r.racket.Span(s).Nth < nth })
}

// backOut draws back out, the newest first, what would make slack be drawn back through more than a few strands where string that
// slipped is pulled again.
func (r *recovery) backOut() {
	for _, s := range r.racket.Newest() {
		if s.Slipped {
			r.backTo(r.exit(s.Strand))
		}
	}
}

// backTo is the same for a pull at a point.
func (r *recovery) backTo(at plan.Spot) {
	var counted []plan.Strand
	laid := r.laidSince(at)
	for i, s := range laid {
		if s.IsMain() && (at.Strand.IsCross() || sign(s) != sign(at.Strand)) { // an outer main, or beyond the centre loop
			continue
		}
		if counted = append(counted, s); !r.few(counted) { // with whatever came after it
			for _, x := range slices.Backward(laid[i:]) {
				r.drawOut(x)
			}
			return
		}
	}
}

// walkFrom is how many of some slack strands are walked out together where they are too many, with those woven since, as they lie; 0
// where each is pulled by itself. Those that are too many are drawn out for it, woven and pulled anew, which is more work unless four
// or more are walked.
func (r *recovery) walkFrom(slack []plan.Strand) int {
	n := min(r.terms.WalkStrands().Crosses, len(slack))
	if n < 4 || r.towardsStart(slack) || slices.ContainsFunc(slack, plan.Strand.IsMain) {
		return 0
	}
	return n
}

// towardsStart says whether slack runs towards where its string was begun.
func (r *recovery) towardsStart(slack []plan.Strand) bool {
	return r.racket.Span(slack[0]).Nth > r.racket.Span(slack[len(slack)-1]).Nth
}

// oneByOne pulls strands again from a knot on, for a tail that is tied cannot be undone: the slack of as many as it is walked over, at the
// end of the last that lies towards a point. One that flying clamps cannot hold, with nothing tight beside it, is pulled together with the next. The last one's clamp is set by itself.
func (r *recovery) oneByOne(slack []plan.Strand, at plan.Spot, set func()) {
	if len(slack) > 1 {
		r.backTo(r.towards(slack[0], slack[1]))
		if slack = slices.DeleteFunc(slack, func(s plan.Strand) bool { return !r.racket.Laid(s) }); !r.racket.Laid(at.Strand) {
			at = r.farEnd("", slack)
			set = func() { r.hold(at) }
		}
	}
	var walked []plan.Strand
	for i, s := range slack {
		walked = append(walked, s)
		to, last := at, i+1 == len(slack)
		if !last {
			to = r.towards(s, slack[i+1])
		}
		alone := r.t.flying() && r.beside(r.chordOf(s).Strand) == "" // nothing can hold it alone
		switch {
		case r.t.flying() && len(walked) == 1 && alone && (!last || !r.startsHere(to)):
			continue // the last one is pulled with the strand that comes after it
		case !last && r.together(walked, slack[i+1], r.laidSince(r.farEnd(s, slack[i+1:i+2]))):
			continue
		}
		title := fmt.Sprintf("Pull %s again, at %s", plan.Names(walked), to.Hole)
		r.card(title, func() {
			pull := r.taking(to)
			switch n := len(walked) - 1; {
			case n > 0 && r.t.flying():
				pull.Also = walked[0]
			case n > 0:
				r.op(plan.Op{Op: plan.WalkSlack, Strands: walked})
			}
			walked = nil
			r.op(pull)
			switch {
			case r.startsHere(to) && !r.racket.Span(to.Strand).Ended:
				r.grip(plan.S, r.chordOf(to.Strand).Strand, r.holeOf(to.Hole), true)
			case last:
				set()
			default:
				r.hold(to)
			}
			r.release()
			r.tidy()
		})
	}
}

// together says whether the slack of some strands is walked out of one more too: of the same kind and side of the centre loop, at times a cross after a main, and few, with
// those that the bight is drawn back through.
func (r *recovery) together(walked []plan.Strand, next plan.Strand, drawn []plan.Strand) bool {
	s := walked[len(walked)-1]
	return !r.t.flying() && (s.IsCross() == next.IsCross() && (s.IsCross() || sign(s) == sign(next)) || next.IsCross() && r.otherwise(mixed)) && r.few(slices.Concat(walked, []plan.Strand{next}, drawn))
}

// anyTogether says whether the slack of any of some strands is walked out of the next one too, once what was woven since is out.
func (r *recovery) anyTogether(slack []plan.Strand) bool {
	for i := range slack[1:] {
		if r.together(slack[i:i+1], slack[i+1], slack[i+2:]) {
			return true
		}
	}
	return false
}

// towards is the end of a strand from which the string goes on to another.
func (r *recovery) towards(s, next plan.Strand) plan.Spot {
	if r.racket.Next(s).Strand == next {
		return r.exit(s)
	}
	return r.farHole(r.exit(s))
}

// startsHere says whether a point is the start of the crosses' string, which the starting clamp holds until it is finished.
func (r *recovery) startsHere(at plan.Spot) bool {
	return r.racket.Grip(plan.S) == nil && r.terms.Start != string(StartKnot) && at.Strand.IsCross() && r.racket.Before(at.Strand).Strand == "" && r.racket.At(r.racket.Span(at.Strand).In) == r.racket.At(at.Hole)
}

// few says whether slack is walked out of so many strands.
func (r *recovery) few(slack []plan.Strand) bool {
	limit := r.terms.WalkStrands()
	mains := 0
	for _, s := range slack {
		if s.IsMain() {
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
