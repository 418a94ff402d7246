package sequence

import (
	"cmp"
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// dependents are a strand and all that was laid from it, the newest last.
func (r *recovery) dependents(s plan.Strand) (out []plan.Strand) {
	if !r.racket.Laid(s) {
		return nil
	}
	line := r.racket.Line(s)
	at := slices.Index(line, s)
	nth := func(i int) int { return r.racket.Span(line[i]).Nth }
	out = []plan.Strand{s}
	for _, step := range [2]int{-1, 1} {
		for i := at + step; i >= 0 && i < len(line) && nth(i) > nth(i-step); i += step {
			out = append(out, line[i])
		}
	}
	slices.SortFunc(out, func(a, b plan.Strand) int { return cmp.Compare(r.racket.Span(a).Nth, r.racket.Span(b).Nth) })
	return out
}

// late says whether a mishap only puts a pull in doubt: the strand lies right.
func late(o plan.Op) bool { return o.Fault == plan.FaultLate || o.Fault == plan.FaultTension }

// toUndo are the strands that have to be let go for a strand that is wrong: itself and those pulled beyond it; of a strand
// that lies wrong all that was laid from it, which comes out too.
func (r *recovery) toUndo(o plan.Op) []plan.Strand {
	if !late(o) && !r.moves(o) {
		return r.dependents(o.Strand)
	}
	out := r.onward(o.Strand)
	if start := r.fromStart(o, out); start != nil {
		return append(start, o.Strand)
	}
	return out
}

// fromStart is what is let go for a doubted strand that is pulled again at its start, across the loop: where all of that comes out anyway
// and it does not, or a trimmed tail is among what is let go otherwise, and the lead allows it.
func (r *recovery) fromStart(o plan.Op, otherwise []plan.Strand) []plan.Strand {
	before := r.racket.Before(o.Strand).Strand
	if !late(o) || before == "" || r.racket.Next(before).Strand == o.Strand || r.drawnOut(o.Strand) {
		return nil
	}
	start, lead := r.onward(before), r.racket.Lead()
	for _, s := range start {
		if s.IsMain() && r.racket.Tight(s) {
			lead -= sign(s)
		}
	}
	if abs(lead) <= r.leadMost() && (r.comesOut(start) || r.trimmed(otherwise) && !r.trimmed(start) || r.doubtful(start) && r.otherwise(fromLoop)) {
		return start
	}
	return nil
}

// doubtful says whether of some strands all that are tight are only doubted.
func (r *recovery) doubtful(strands []plan.Strand) bool {
	return !slices.ContainsFunc(strands, func(s plan.Strand) bool {
		return r.racket.Tight(s) && !slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool { return late(o) && o.Strand == s })
	})
}

// trimmed says whether one of some strands ends in a knot whose tail is trimmed.
func (r *recovery) trimmed(strands []plan.Strand) bool {
	return slices.ContainsFunc(r.racket.Knots(), func(k plan.Knot) bool {
		return k.Trimmed && slices.Contains(strands, k.Strand) && r.atExit(k)
	})
}

// atExit says whether a knot sits where its strand was pulled.
func (r *recovery) atExit(k plan.Knot) bool {
	return r.racket.At(r.racket.Span(k.Strand).Out) == r.racket.At(k.Out)
}

// onward are a strand and what was laid from it that lies between it and the end towards which it is pulled.
func (r *recovery) onward(of plan.Strand) []plan.Strand {
	if !r.racket.Laid(of) {
		return nil
	}
	line := r.racket.Line(of)
	at := slices.Index(line, of)
	beyond := line[at:]
	if next := r.racket.Next(of).Strand; next == "" {
		beyond = line[at : at+1]
	} else if at > 0 && line[at-1] == next {
		beyond = line[:at+1]
	}
	return slices.DeleteFunc(r.dependents(of), func(s plan.Strand) bool { return !slices.Contains(beyond, s) })
}

// undoable says whether what is wrong can be undone: no tail that has to be drawn back is trimmed, and no main is to be let
// go under crosses of another piece.
func (r *recovery) undoable(o plan.Op) bool {
	strands := r.withOtherSide(r.toUndo(o), func(s plan.Strand) bool { return late(o) && s == o.Strand })
	for _, k := range r.racket.Knots() {
		if !slices.Contains(strands, k.Strand) || k.Anchor == "" || !k.Trimmed {
			continue
		}
		if s := r.racket.Span(k.Strand); s.Laid() && (r.atExit(k) || !late(o) && !(k.Strand == o.Strand && r.moves(o))) && k.Name != startKnot {
			return false
		}
	}
	return !o.Strand.IsMain() || len(r.laidOf(func(s plan.Span) bool { return s.Piece == plan.PieceCrosses })) == 0
}

// withOtherSide adds the mains of the other side that have to be let go so that it does not lead too far; some of those named are only doubted.
func (r *recovery) withOtherSide(strands []plan.Strand, doubted func(plan.Strand) bool) []plan.Strand {
	lead, mains := 0, r.newestMains() // left ahead above nought; what slipped counts, as it is pulled again
	for _, s := range mains {
		if s.Pulled && (!slices.Contains(strands, s.Strand) || doubted(s.Strand) && r.otherwise(asLead)) {
			lead += sign(s.Strand)
		}
	}
	out := slices.Clone(strands)
	for _, s := range mains {
		if over := lead * sign(s.Strand); over > r.terms.Lead && !slices.Contains(out, s.Strand) && s.Pulled {
			out = append(out, s.Strand)
			lead -= sign(s.Strand)
		}
	}
	return out
}

// sign is 1 for a main of the left side, -1 for one of the right side.
func sign(s plan.Strand) int {
	if s[len(s)-1] == 'L' {
		return 1
	}
	return -1
}

func (r *recovery) newestMains() []plan.Span {
	return slices.DeleteFunc(r.racket.Newest(), func(s plan.Span) bool { return !s.Strand.IsMain() })
}

// pullDoubted pulls what is doubted and ends at a clamp once more where it is, a start that is finished by that last: no shorter way leads back.
func (r *recovery) pullDoubted() {
	for _, starts := range [2]bool{false, true} {
		for _, o := range slices.Clone(r.racket.Open()) {
			if again := slices.ContainsFunc(r.racket.Open(), func(x plan.Op) bool { return x.Strand == o.Strand }); !again || !r.pullsAnew(o) || r.undone(o.Strand) {
				continue
			}
			if undoes := slices.ContainsFunc(r.racket.Open(), func(x plan.Op) bool { return !r.pullsAnew(x) }); undoes && r.otherwise(withRest) {
				continue
			}
			at, _ := anewAt(r.racket, o.Strand)
			if start := r.farHole(r.exit(o.Strand)); r.startEnds(start) {
				if !starts {
					continue
				}
				at = start
			}
			r.pullBeyond(at)
			r.pullAnew(at)
		}
	}
}

// pullsAnew says whether what is doubted is pulled once more where it is.
func (r *recovery) pullsAnew(o plan.Op) bool {
	_, can := anewAt(r.racket, o.Strand)
	return r.anew(o) || can && (o.Fault == plan.FaultLate || o.Fault == plan.FaultTension && o.Extent != plan.High && r.otherwise(atStart))
}

// undone says whether a strand is let go for another mishap: then nobody pulls it where it is.
func (r *recovery) undone(s plan.Strand) bool {
	return slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool {
		return !r.pullsAnew(o) && slices.Contains(r.toUndo(o), s)
	})
}

// pullBeyond pulls what is slack beyond a corner that a pull at a point would draw through, as no clamp stands there.
func (r *recovery) pullBeyond(at plan.Spot) {
	far := r.farHole(at)
	if !slices.Contains(r.racket.Corners(), far) || r.tightOutside(far) || r.stands(far) {
		return
	}
	if slack := r.slackFrom(r.beyond(plan.Grip{Strand: far.Strand, Hole: far.Hole}).Strand, at.Strand); len(slack) > 0 {
		end := r.farEnd(at.Strand, slack)
		if slack, ok := r.slackTo(end); ok {
			r.walkAndPull(slack, end, func() { r.hold(end) })
		}
	}
}

// undoWrong undoes, the newest first, what was done since the strands that are wrong.
func (r *recovery) undoWrong() {
	r.pullDoubted()
	wrong := slices.Clone(r.racket.Open())
	low := r.low()
	if len(low) > 0 && r.setsLater() {
		low = nil
	}
	for _, s := range low {
		wrong = append(wrong, plan.Op{Fault: plan.FaultLate, Strand: s})
	}
	out, doubted := map[plan.Strand]bool{}, map[plan.Strand]bool{} // whether it is drawn out too, whether only its pull is wrong
	for _, o := range wrong {
		only, seen := doubted[o.Strand]
		doubted[o.Strand] = (only || !seen) && late(o) && o.Extent != plan.High
		for _, s := range r.toUndo(o) {
			out[s] = out[s] || !late(o) && !(s == o.Strand && r.moves(o))
		}
	}
	var strands []plan.Strand
	for s := range out {
		strands = append(strands, s)
	}
	slices.Sort(strands)
	if len(strands) > 0 {
		strands = r.withOtherSide(strands, func(s plan.Strand) bool { return doubted[s] && !out[s] })
	}
	for len(strands) > 0 {
		i := r.nextToUndo(strands)
		s := strands[i]
		strands = slices.Delete(strands, i, i+1)
		switch exit := r.exit(s); {
		case !r.racket.Tight(s), slices.Contains(low, s) && r.sound(s) && !out[s]: // a pull to let another go drew it tight
		case doubted[s] && !out[s] && r.lastAlong(s, strands) && r.endsAt(exit):
			r.pullAnew(exit) // what lies beyond is slack by now
		case doubted[s] && !out[s] && r.lastAlong(s, strands) && r.opens(exit):
			r.card(fmt.Sprintf("Open the knot of %s", s), func() { r.opened(exit) })
			r.pullAnew(exit)
		case doubted[s] && !out[s] && r.lastAlong(s, strands) && r.endsAt(r.farHole(exit)):
			r.pullAnew(r.farHole(exit))
		default:
			r.undoTo(exit, out[s])
		}
		if out[s] {
			r.drawOut(s)
		} else {
			r.moveEnd(s)
		}
	}
}

// opens says whether a tight strand ends at a point in a knot whose tail is not trimmed.
func (r *recovery) opens(at plan.Spot) bool {
	k := r.racket.KnotOf(at)
	return k != nil && !k.Trimmed && r.racket.Tight(at.Strand)
}

// sound says whether a strand lost nothing and is not doubted.
func (r *recovery) sound(s plan.Strand) bool {
	return !r.racket.Span(s).Low && !slices.ContainsFunc(r.racket.Open(), func(o plan.Op) bool { return o.Strand == s })
}

// moves says whether a strand that is in a wrong hole is put right by moving that end alone: it is the one that what was laid
// since hangs from, the other is in its own, and no trimmed tail keeps it.
func (r *recovery) moves(o plan.Op) bool {
	at, home := r.racket.Stray(o.Strand)
	exit := r.exit(o.Strand)
	lies, own := r.racket.LiesAt(o.Strand), r.racket.Ends(o.Strand)
	if lies[0] != own[0] && lies[1] != own[1] {
		return false
	}
	for _, s := range r.racket.Through(r.racket.At(home)) {
		if stays := !slices.Contains(r.onward(o.Strand), s); home != "" && stays && r.racket.OwnHole(s, home) != "" {
			return false // another is there by mistake
		}
	}
	return o.Fault == plan.FaultHole && r.racket.At(at) == r.racket.At(exit.Hole) && !r.trimmed([]plan.Strand{o.Strand})
}

// moveEnd takes the end of a slack strand, from which a free tail hangs, out of the wrong hole and feeds it into its own, if it is
// in one.
func (r *recovery) moveEnd(s plan.Strand) {
	at, home := r.racket.Stray(s)
	if at == "" {
		return
	}
	r.phaseOf(s)
	r.card(fmt.Sprintf("Move %s into %s", s, home), func() {
		for _, c := range plan.Clamps() {
			if g := r.racket.Grip(c); g != nil && r.grips(*g, plan.Spot{Strand: s, Hole: at}) {
				r.off(c)
			}
		}
		r.sleeve(home)
		r.unscrapped(r.holeOf(home))
		r.op(plan.Op{Op: plan.Move, Strand: s, From: at, To: home, Blocked: r.blocked(r.holeOf(home))})
	})
}

// lastAlong says whether none of some strands has to be pulled again before a strand is.
func (r *recovery) lastAlong(s plan.Strand, left []plan.Strand) bool {
	along := r.racket.Line(s)
	if across := func(x plan.Strand) bool { return x.IsMain() && s.IsMain() && sign(x) != sign(s) }; slices.ContainsFunc(left, func(x plan.Strand) bool { return across(x) && slices.Contains(along, x) }) && r.otherwise(passLoop) {
		along = slices.DeleteFunc(slices.Clone(along), across)
	}
	return !slices.ContainsFunc(left, func(x plan.Strand) bool { return slices.Contains(along, x) })
}

// nextToUndo is the place of the strand that is undone next: the newest that the lead allows and that nothing has been laid
// from since.
func (r *recovery) nextToUndo(strands []plan.Strand) int {
	order := make([]int, len(strands))
	for i := range order {
		order[i] = i
	}
	age := func(s plan.Strand) []int {
		span := r.racket.Span(s)
		if span.Tight {
			return []int{0, span.Turn, span.Nth}
		}
		return []int{1, span.Nth} // what is slack comes first
	}
	slices.SortFunc(order, func(a, b int) int { return slices.Compare(age(strands[b]), age(strands[a])) })
	for _, i := range order {
		s := strands[i]
		if !r.leadAllows(s) {
			continue
		}
		first := r.dependents(s)
		for _, o := range r.racket.Open() {
			if o.Strand == s {
				first = append(first, r.fromStart(o, r.onward(s))...)
			}
		}
		if !slices.ContainsFunc(first, func(d plan.Strand) bool { return d != s && slices.Contains(strands, d) }) {
			return i
		}
	}
	return order[0]
}

// undoPull lets a strand go at its exit: the gripper takes its load, where a knot held it after a clamp has, what lies behind it is
// clamped, the clamp at the exit comes off, the gripper gives way.
func (r *recovery) undoPull(at plan.Spot) { r.undoTo(at, false) }

// undoTo does that; out says that the strand comes out of the hoop next.
func (r *recovery) undoTo(at plan.Spot, out bool) {
	r.pullBeyond(at)
	r.phaseOf(at.Strand)
	r.card(fmt.Sprintf("Release %s", at.Strand), func() {
		r.opened(at)
		if g := r.racket.Gripper(); g == nil || !r.racket.Same(*g, at) {
			r.take(at)
		}
		if c := r.creptAt(at); c != "" && r.racket.CanComeOff(c) { // what it lost is drawn tight before anything behind is clamped
			r.off(c)
		}
		if out {
			r.handOver(at)
		}
		r.holdBehind(at)
		in := false
		for _, c := range plan.Clamps() {
			if g := r.racket.Grip(c); g != nil && r.grips(*g, at) {
				in = r.standIn(c, *g, at) || in
				r.off(c)
			}
		}
		r.op(plan.Op{Op: plan.Slacken, Strand: at.Strand, Hole: at.Hole})
		r.standOff(in)
	})
}

// creptAt is a clamp that slipped and stands at a point, empty for none.
func (r *recovery) creptAt(at plan.Spot) plan.Clamp {
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && g.With == "" && r.racket.Slipped(c) != "" && r.racket.Holds(c) && r.grips(*g, at) {
			return c
		}
	}
	return ""
}

// opened opens the knot at a point, if one is tied there; a clamp holds what is tight before.
func (r *recovery) opened(at plan.Spot) {
	if k := r.racket.KnotOf(at); k != nil {
		if r.racket.Tight(at.Strand) && !r.stands(at) {
			r.hold(at)
		}
		r.op(plan.Op{Op: plan.Untie, Strand: at.Strand, Out: k.Out, Hole: k.Hole})
	}
}

// drawOut draws a slack strand at the end of its line back out.
func (r *recovery) drawOut(s plan.Strand) {
	span := *r.racket.Span(s)
	if !span.Laid() {
		return
	}
	do := plan.Unthread
	if s.IsCross() {
		do = plan.Unweave
	}
	r.phaseOf(s)
	r.card(fmt.Sprintf("Draw %s back out", s), func() {
		for _, k := range slices.Clone(r.racket.Knots()) {
			if k.Strand == s && !k.Trimmed {
				r.op(plan.Op{Op: plan.Untie, Strand: s, Out: k.Out, Hole: k.Hole})
			}
		}
		for _, c := range plan.Clamps() {
			if g := r.racket.Grip(c); g != nil && g.On(s) {
				r.off(c)
			}
		}
		r.scrapsFor(s)
		r.op(plan.Op{Op: do, Strand: s, From: span.In, To: span.Out})
	})
}

// handOver has what a clamp holds at the far end of a strand, across a loop, held beyond it by another: the strand is let go at a point and
// comes out, and that clamp with it.
func (r *recovery) handOver(at plan.Spot) {
	own := r.farHole(at)
	before := r.beyond(plan.Grip{Strand: own.Strand, Hole: own.Hole})
	for _, c := range plan.Clamps() {
		if g := r.racket.Grip(c); g != nil && g.Strand == own.Strand && r.grips(*g, own) && r.racket.Tight(before.Strand) {
			if !r.stands(before) {
				r.hold(before)
			}
			if r.stands(before) {
				r.ungrip(c)
			}
		}
	}
}

// phaseOf lets a step of the way back stand in the phase that a strand belongs to.
func (r *recovery) phaseOf(s plan.Strand) {
	if r.phase = plan.PhaseMains; s.IsCross() || len(r.laidOf(func(x plan.Span) bool { return x.Strand.IsCross() })) > 0 {
		r.phase = plan.PhaseCrosses
	}
}
