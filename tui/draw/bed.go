package draw

import (
	"slices"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Planned is how much of a frame that nobody has strung yet is settled. What is not is drawn as what comes next.
type Planned struct {
	Mains, Crosses bool
	// Loops are the runs outside the frame between the mains of a side, and the centre loop.
	Loops bool
	// Ties are the tie-off holes.
	Ties bool
	// Hand are the holes in question: the strands of the kind InHand that end there are drawn in hand, and so is a knot.
	Hand   []patterns.Hole
	InHand patterns.Kind
}

// Bed is the scene of a frame by itself, without a plan: its strands, how they are woven, and what else is settled.
func Bed(f *patterns.Frame, on Planned) Scene {
	p := bedPlan(f, on)
	s := At(p, len(p.Steps), 0)
	settle := func(list []span, settled bool) {
		for i := range list {
			list[i].state = coming
			if settled {
				list[i].state = taut
			}
		}
	}
	settle(s.mains, on.Mains)
	settle(s.crosses, on.Crosses)
	hand := s.crosses
	if on.InHand == patterns.Main {
		hand = s.mains
	}
	for _, h := range on.Hand {
		s.holdHole(hand, s.ring.at(plan.Hole(f.HoleName(h))))
	}
	return s
}

// holdHole takes those of some strands that end at a place in hand, settled or not, and the knots there.
func (s *Scene) holdHole(list []span, place int) {
	for i := range list {
		if slices.Contains(list[i].ends[:], place) {
			list[i].inHand, list[i].state = true, taut
		}
	}
	for i := range s.knots {
		s.knots[i].inHand = s.knots[i].inHand || s.knots[i].hole == place
	}
}

// bedPlan is as much of a plan as a picture needs: one step that lays every strand.
func bedPlan(f *patterns.Frame, on Planned) *plan.Plan {
	name := func(h patterns.Hole) plan.Hole { return plan.Hole(f.HoleName(h)) }
	terms := plan.Terms{HolesLeft: f.Holes[patterns.Left], HolesRight: f.Holes[patterns.Right]}
	for _, c := range f.Columns() {
		terms.Mains = append(terms.Mains, plan.Chord{Strand: plan.Strand(c.String()), Ends: [2]plan.Hole{name(c.Ends[0]), name(c.Ends[1])}})
	}
	var ops []plan.Op
	for _, side := range patterns.Sides() {
		ops = append(ops, threads(f, side, on.Loops)...)
	}
	for _, c := range f.Crosses {
		strand := plan.Strand(c.String())
		terms.Crosses = append(terms.Crosses, plan.Chord{Strand: strand, Ends: [2]plan.Hole{name(c.Ends[0]), name(c.Ends[1])}})
		op := plan.Op{Op: plan.Weave, Strand: strand, From: name(c.Ends[0]), To: name(c.Ends[1]), First: plan.Under}
		if patterns.Over(c.Number, f.Met(c)[0]) {
			op.First = plan.Over
		}
		ops = append(ops, op)
	}
	if on.Ties {
		for _, h := range slices.Concat(f.TieMains, f.TieCrosses) {
			ops = append(ops, plan.Op{Op: plan.Tie, Strand: ops[0].Strand, Out: name(h), Hole: name(h)})
		}
	}
	return &plan.Plan{Terms: terms, Steps: []plan.Step{{N: 1, Ops: ops}}}
}

// threads lays the mains of a side from the centre outwards; the string goes up and down in turn, away from where the
// two centre mains loop.
func threads(f *patterns.Frame, side patterns.Side, loops bool) []plan.Op {
	var out []plan.Op
	in := f.Start
	for i, c := range f.Mains[side] {
		op := plan.Op{Op: plan.Thread, Strand: plan.Strand(c.String()),
			From: plan.Hole(f.HoleName(c.At(in))), To: plan.Hole(f.HoleName(c.At(in.Other())))}
		switch {
		case !loops:
		case i > 0:
			op.After = plan.Strand(f.Mains[side][i-1].String())
		case side == patterns.Right:
			op.After = plan.Strand(f.Mains[patterns.Left][0].String())
		}
		out = append(out, op)
		in = in.Other()
	}
	return out
}
