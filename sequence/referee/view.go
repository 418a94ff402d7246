package referee

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// View is what the referee knows of the racket when some steps are done, for whoever shows a racket and wants to know
// whether what is shown is true. It is a copy: changing it changes nothing.
type View struct {
	Strands map[plan.Strand]Condition // every strand of the frame
	Clamps  map[plan.Clamp]plan.Grip  // those that stand
	Empty   map[plan.Clamp]bool       // those that stand and hold nothing since they slipped
	Gripper *plan.Grip                // where it pulls, nil where it does not
	// Marked are the points of the string on which jaws slipped: a clamp goes on beside their mark.
	Marked []plan.Spot
	// Covered are the holes under a run outside, Blocked those of them that are still to be threaded; each by the end that
	// it is nearer to, in order around the hoop.
	Covered, Blocked []plan.Hole
	// Deferred are the strands that are laid but slack, or in S till their tail is finished, although strands that were laid
	// later are pulled already or will be before them; in the order in which they are finished.
	Deferred []plan.Deferral
}

// Condition is how a strand is.
type Condition struct {
	Laid, Tight bool
	Slipped     bool // slack because what held it let go
	Loose       bool // slack, and was tight since it was laid
	Low         bool // tight, but a clamp that crept took tension from it
	Wrong       bool // it lies wrong
	Doubted     bool // its tension is not trusted
	Lost        bool // it has to be cut out
}

// View is the racket as it is now; of the steps that come next it tells what they finish late.
func (t *Table) View(next []plan.Step) *View {
	v := &View{
		Strands: make(map[plan.Strand]Condition, len(t.spans)), Clamps: map[plan.Clamp]plan.Grip{}, Empty: map[plan.Clamp]bool{},
		Deferred: t.deferred(next),
	}
	for s, sp := range t.spans {
		i, _ := t.piece(s)
		v.Strands[t.bed.strands[s].name] = Condition{sp.laid, sp.tense, sp.slipped, sp.loose, sp.low != 0, sp.wrong != 0, sp.doubt != 0,
			sp.laid && (t.pieces[i].lost || t.cracked)}
	}
	for i, name := range plan.Clamps() {
		if c := t.clamps[i]; c.on() {
			g := plan.Grip{Strand: t.nameOf(c.end), Hole: t.bed.name(t.standsAt(c)), Outside: c.outside}
			if c.pair != none {
				g.With = t.nameOf(c.pair)
			}
			v.Clamps[name] = g
			if c.slipped || c.stub != 0 {
				v.Empty[name] = true
			}
		}
	}
	if t.gripper != none {
		v.Gripper = &plan.Grip{Strand: t.nameOf(t.gripper), Hole: t.holeOf(t.gripper), Outside: true}
	}
	for e := range t.ends {
		if t.ends[e].mark {
			v.Marked = append(v.Marked, plan.Spot{Strand: t.nameOf(e), Hole: t.holeOf(e)})
		}
	}
	for pos := range t.holes {
		if h := &t.holes[pos]; h.over > 0 {
			v.Covered = append(v.Covered, t.bed.name(pos))
			if h.due > 0 {
				v.Blocked = append(v.Blocked, t.bed.name(pos))
			}
		}
	}
	return v
}

// Differs says in what a racket, as everybody else reads it, is not what the referee knows, empty where both hold the same of it:
// what is laid, tight, loose, low and wrong, where clamps stand and whether they hold, where jaws left marks, which holes are blocked. They
// share no code.
func (v *View) Differs(r *plan.Racket) string {
	wrong := map[plan.Strand]bool{}
	for _, o := range r.Open() {
		wrong[o.Strand] = true
	}
	for _, s := range r.Spans() {
		c := v.Strands[s.Strand]
		if was, is := [5]bool{s.Laid(), s.Tight, s.Loose, s.Low, wrong[s.Strand]}, [5]bool{c.Laid, c.Tight, c.Loose, c.Low, c.Wrong || c.Doubted}; was != is {
			return fmt.Sprintf("laid, tight, loose, low, wrong of %s are %v, and %v in the picture", s.Strand, is, was)
		}
	}
	for _, c := range plan.Clamps() {
		at, stands := v.Clamps[c]
		g := r.Grip(c)
		if stands != (g != nil) || stands && (at.Strand != g.Strand || r.At(at.Hole) != r.At(g.Hole) || v.Empty[c] == r.Holds(c)) {
			return fmt.Sprintf("clamp %s stands at %v, and at %v in the picture", c, at, g)
		}
	}
	for _, s := range r.Spans() {
		for _, h := range []plan.Hole{s.In, s.Out} {
			is := slices.ContainsFunc(v.Marked, func(at plan.Spot) bool { return at.Strand == s.Strand && r.At(at.Hole) == r.At(h) })
			if was := r.JawMark(plan.Spot{Strand: s.Strand, Hole: h}); is != was {
				return fmt.Sprintf("whether jaws slipped on %s at %s is %v, and %v in the picture", s.Strand, h, is, was)
			}
		}
	}
	blocked := make([]bool, r.Total()+1)
	for _, h := range v.Blocked {
		blocked[r.At(h)] = true
	}
	for place := 1; place < len(blocked); place++ {
		if is := r.ToBeThreaded(place) && r.Blocked(place); is != blocked[place] {
			return fmt.Sprintf("whether place %d is blocked is %v, and %v in the picture", place, blocked[place], is)
		}
	}
	return ""
}

// deferred looks along the pulls that come for those that finish a strand late.
func (t *Table) deferred(next []plan.Step) (out []plan.Deferral) {
	late := 0 // the latest laying of a strand that is pulled
	for s := range t.spans {
		if t.spans[s].tense {
			late = max(late, t.spans[s].nth)
		}
	}
	done := map[int]bool{} // pulled, or taken out, in what comes
	for i := range next {
		for k := range next[i].Ops {
			op := &next[i].Ops[k]
			s := t.bed.find(op.Strand)
			if s == none {
				continue
			}
			switch op.Op {
			case plan.Unthread, plan.Unweave, plan.Cut:
				done[s] = true
			case plan.Pull:
				tail := t.spans[s].tense && t.tailWaits(op, s)
				if !done[s] && t.spans[s].laid && (tail || !t.spans[s].tense && !t.spans[s].loose) && t.spans[s].nth < late {
					out = append(out, plan.Deferral{Strand: op.Strand, Hole: op.Hole, Repull: tail, Step: next[i].N})
				}
				if done[s] = true; t.spans[s].laid {
					late = max(late, t.spans[s].nth)
				} else {
					late = t.turn + 1
				}
			}
		}
	}
	return out
}

// tailWaits says whether S holds the first cross's tail, which a pull finishes.
func (t *Table) tailWaits(op *plan.Op, s int) bool {
	c, e := t.clamps[starting], 2*s
	return op.Repull && s == t.bed.first() && c.end == e && t.bed.hole(op.Hole) == t.ends[e].hole && !t.finished
}
