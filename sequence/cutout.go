package sequence

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// pieceOf is the piece that a strand belongs to.
func (r *recovery) pieceOf(s plan.Strand) plan.Piece {
	switch {
	case r.t.Pieces == 1:
		return plan.PieceWhole
	case s[0] == 'M':
		return plan.PieceMains
	}
	return plan.PieceCrosses
}

// knotIn is the strand whose knot sits in a hole.
func (r *recovery) knotIn(hole plan.Hole) (plan.Strand, bool) {
	for t, at := range r.knotOf {
		if r.name(at) == hole {
			return strand(t.strand), true
		}
	}
	return "", false
}

// cutOut cuts a piece out; where the mains go the crosses go too. While the string is tight the clamps stay on until the
// first cut has taken the tension out of it.
func (r *recovery) cutOut(piece plan.Piece, tight bool) {
	order := r.fromTheMiddle(r.there(r.f.Crosses))
	if piece != plan.PieceCrosses {
		order = inTurn(r.outwards(), order)
	}
	cut := map[plan.Strand]bool{}
	for _, c := range order {
		cut[strand(c.Strand)] = true
	}
	for _, c := range r.f.Crosses {
		cut[strand(c.Strand)] = true // a starting knot goes with its cross, or with the main that it sits on
	}
	undone := r.undoneBy(cut)
	if r.phase = plan.PhaseMains; piece == plan.PieceCrosses {
		r.phase = plan.PhaseCrosses
	}
	if !tight && r.gripped(cut) {
		r.begin("Clamps off")
		r.note("the string has no tension left that they could hold")
		r.clampsOff(cut)
		r.oldHands.end()
	}
	for len(order) > 0 {
		n := min(len(order), atOnce)
		r.begin("Cut out, from the centre outwards")
		for _, c := range order[:n] {
			r.op(plan.Op{Op: plan.Cut, Strand: strand(c.Strand)})
			r.comeAway(c)
			r.clampsOff(cut)
			r.gone(c)
		}
		if order = order[n:]; len(order) == 0 {
			r.steps[len(r.steps)-1].Undoes = undone
		}
		r.oldHands.end()
	}
	r.startKnotGone(piece, undone)
}

// startKnotGone opens a starting knot whose cross is not woven yet; without the main that it sits on it is gone already.
func (r *recovery) startKnotGone(piece plan.Piece, undone []int) {
	for t, hole := range r.knotOf {
		if t.strand.Kind != patterns.Cross {
			continue
		}
		if piece == plan.PieceCrosses {
			r.begin("Open the starting knot")
			r.op(plan.Op{Op: plan.Untie, Strand: strand(t.strand), Out: r.name(t.hole), Hole: r.name(hole)})
			r.steps[len(r.steps)-1].Undoes = undone
			r.oldHands.end()
		}
		r.untied(t)
	}
}

// gripped says whether a clamp stands on one of some strands.
func (r *recovery) gripped(cut map[plan.Strand]bool) bool {
	for _, g := range r.clamps {
		if cut[g.Strand] {
			return true
		}
	}
	return false
}

// comeAway forgets the clamps on a strand that is cut while they hold its tension: they come away with it.
func (r *recovery) comeAway(c patterns.Chord) {
	for _, name := range plan.Clamps() {
		if g, on := r.clamps[name]; on && g.Strand == strand(c.Strand) {
			r.note(fmt.Sprintf("clamp %s comes away with it", name))
			delete(r.clamps, name)
		}
	}
}

func (r *recovery) clampsOff(cut map[plan.Strand]bool) {
	for _, c := range plan.Clamps() {
		if g, on := r.clamps[c]; on && cut[g.Strand] {
			r.ungrip(c)
		}
	}
}

// atOnce is how many cuts stand in a step, so that they are read at a glance.
const atOnce = 6

// undoneBy are the done steps that count no more when strands are cut out.
func (r *recovery) undoneBy(cut map[plan.Strand]bool) (out []int) {
	for i := range r.p.Steps[:r.done] {
		s := &r.p.Steps[i]
		if s.Base == 0 || !r.effective[s.Base] {
			continue
		}
		anew := strings.HasPrefix(s.Title, prestretch) && cut[r.firstLaid(i)]
		for j := range s.Ops {
			anew = anew || cut[s.Ops[j].Strand]
		}
		if anew {
			out = append(out, s.Base)
			delete(r.effective, s.Base)
		}
	}
	return out
}

// firstLaid is the first strand that is laid after a step.
func (r *recovery) firstLaid(step int) plan.Strand {
	for i := step; i < len(r.p.Steps); i++ {
		if o := r.p.Steps[i].Lay(); o != nil {
			return o.Strand
		}
	}
	return ""
}

// outwards are the mains that lie in the frame, from the centre, left and right in turn; of the two centre ones that
// comes first on which no clamp stands.
func (r *recovery) outwards() []patterns.Chord {
	left, right := r.there(r.f.Mains[0]), r.there(r.f.Mains[1])
	switch {
	case len(left) == 0 || len(right) == 0 || left[0].Number < right[0].Number:
	case left[0].Number > right[0].Number || r.clampOn(left[0]):
		return inTurn(right, left)
	}
	return inTurn(left, right)
}

// fromTheMiddle are strands from the middle one, on this and that side in turn; of two middle ones that comes first on
// which no clamp stands.
func (r *recovery) fromTheMiddle(list []patterns.Chord) []patterns.Chord {
	half := len(list) / 2
	up, down := slices.Clone(list[:half]), list[half:]
	slices.Reverse(up)
	if len(up) == len(down) && len(down) > 0 && r.clampOn(down[0]) {
		return inTurn(up, down)
	}
	return inTurn(down, up)
}

func (r *recovery) clampOn(c patterns.Chord) bool {
	return r.gripped(map[plan.Strand]bool{strand(c.Strand): true})
}

func (r *recovery) there(list []patterns.Chord) (out []patterns.Chord) {
	for _, c := range list {
		if _, in := r.exit[c.Strand]; in {
			out = append(out, c)
		}
	}
	return out
}

// inTurn takes from two lists in turn, then what is left of the longer one.
func inTurn(a, b []patterns.Chord) (out []patterns.Chord) {
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

// takeOff ends the work on a cracked frame.
func (r *recovery) takeOff() {
	r.phase = plan.PhaseFinish
	r.begin("Take the cracked frame off")
	for _, s := range r.t.Mount.Release {
		if r.mounted[s] {
			r.op(plan.Op{Op: plan.Dismount, Support: s})
		}
	}
	r.inspect("the crack: where, how long, a picture of it; the owner is told")
	r.oldHands.end()
}
