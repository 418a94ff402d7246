package referee

import "pullcard/sequence/plan"

// View is what the referee knows of the racket when some steps are done, for whoever shows a racket and wants to know
// whether what is shown is true. It is a copy: changing it changes nothing.
type View struct {
	Strands map[plan.Strand]Condition // every strand of the frame
	Clamps  map[plan.Clamp]plan.Grip  // those that stand
	Empty   map[plan.Clamp]bool       // those that stand and hold nothing since they slipped
	Gripper *plan.Grip                // where it pulls, nil where it does not
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
	Low         bool // tight, but a clamp that crept took tension from it
	Wrong       bool // it lies wrong
	Doubted     bool // its tension is not trusted
	Lost        bool // it has to be cut out
}

// Look is the view when the first done steps of a plan are done. It looks ahead for what is deferred. There is none, and
// the breaches say why, when the terms describe no racket.
func Look(p *plan.Plan, done int) (*View, []Breach) {
	t, breaches := From(&p.Terms, p.Steps[:done])
	if t == nil {
		return nil, breaches
	}
	return t.look(p.Steps[done:]), breaches
}

func (t *Table) look(next []plan.Step) *View {
	v := &View{
		Strands: make(map[plan.Strand]Condition, len(t.spans)), Clamps: map[plan.Clamp]plan.Grip{}, Empty: map[plan.Clamp]bool{},
		Deferred: t.deferred(next),
	}
	for s, sp := range t.spans {
		i, _ := t.piece(s)
		v.Strands[t.bed.strands[s].name] = Condition{sp.laid, sp.tense, sp.slipped, sp.low != 0, sp.wrong != 0, sp.doubt != 0,
			sp.laid && (t.pieces[i].lost || t.cracked)}
	}
	for i, name := range plan.Clamps() {
		if c := t.clamps[i]; c.on {
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
				if !done[s] && t.spans[s].laid && (tail || !t.spans[s].tense && !t.spans[s].slipped) && t.spans[s].nth < late {
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
	return op.Repull && s == t.bed.first() && c.on && c.end == e && t.bed.hole(op.Hole) == t.ends[e].hole && !t.finished
}
