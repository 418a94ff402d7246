package plan

import "slices"

// opens is what a knot that comes open does beyond its strand: corners and weave hold the string where it leaves the strand at the other
// end, and the neighbours, as many as slack is walked out of, lose tension.
func (r *Racket) opens(at Spot) {
	s := r.Span(at.Strand)
	l, p := r.lineAt(at)
	if l == nil || !s.Tight {
		return
	}
	far := p ^ 1
	step := far - p
	held := slices.Clone(r.held(l))
	if held[p] || held[far] || held[far+step] {
		return
	}
	for i, count := far+step, [2]int{}; !held[i-step] && !held[i]; i += 2 * step { // what is tight ends at a holder
		kind, most := 0, r.walk.Mains
		if l.on[i/2] >= r.mains {
			kind, most = 1, r.walk.Crosses
		}
		if count[kind]++; count[kind] >= max(most, 1) {
			break
		}
		n := &r.spans[l.on[i/2]]
		n.Low, n.lowAt = true, Spot{}
	}
	r.corners = append(r.corners, Spot{at.Strand, r.hole(l.on[far/2], l.places[far])})
}

// holdsBeyond lets corners and weave hold a strand that was felt to be tight, and what is beyond it, when something lets go at a point.
// What a clamp lost there before, when it crept, was lost this side of it.
func (r *Racket) holdsBeyond(from Spot, tight Strand) {
	m, ok := r.index[tight]
	l, p := r.lineAt(from)
	if !ok || l == nil || !slices.Contains(l.on, m) || !r.spans[m].Tight {
		return
	}
	k := slices.Index(l.on, m)
	at, step := 2*k, 1 // where the string comes to it from that side
	if p > at {
		at, step = at+1, -1
	}
	for i := k; i >= 0 && i < len(l.on); i += step {
		if s := &r.spans[l.on[i]]; s.lowAt == from {
			s.Low, s.lowAt = false, Spot{}
		}
	}
	r.corners = append(r.corners, Spot{tight, r.hole(m, l.places[at])})
}

// Slackens are the strands that go slack with what a mishap lets go of, from there on to what holds them next, as hands feel them; none
// where it lets go of two lines.
func (r *Racket) Slackens(mishap *Op) (out []Strand) {
	from := r.gripper
	switch {
	case mishap.Fault == FaultClamp && slot(mishap.Clamp) >= 0:
		g := r.clamps[slot(mishap.Clamp)].grip
		if from = &(Spot{g.Strand, g.Hole}); g.With != "" {
			return nil // it lets go of two lines
		}
	case mishap.Fault == FaultBreak && mishap.Choose == Regrip && r.Laid(mishap.Strand):
		if mishap.Where == AtJaw && r.pairs(mishap.Strand) {
			return nil // the jaws let go of two lines
		}
		at := r.pulledAt(r.index[mishap.Strand])
		from = &at
	case mishap.Fault != FaultGripper:
		return nil
	}
	if from == nil {
		return nil
	}
	is, o := r.Clone(), *mishap
	o.With = ""
	_ = is.Apply(&o)
	l, p := r.lineAt(*from)
	if l == nil {
		return nil
	}
	for d := range len(l.on) {
		for _, k := range [2]int{p/2 - d, p/2 + d} {
			if k >= 0 && k < len(l.on) && r.spans[l.on[k]].Tight && !is.spans[l.on[k]].Tight && !slices.Contains(out, r.strands[l.on[k]]) {
				out = append(out, r.strands[l.on[k]])
			}
		}
	}
	return out
}

// Loop is the centre main beyond the centre loop that goes slack with what a mishap lets go of on the other side, so that it is felt
// first; empty where none does.
func (r *Racket) Loop(mishap *Op) Strand { return r.beyondLoop(r.Slackens(mishap)) }

// beyondLoop is the later one of the two centre mains among strands, empty where not both are.
func (r *Racket) beyondLoop(slack []Strand) (far Strand) {
	n := 0
	for _, s := range slack {
		if i := r.index[s]; i == r.centre[0] || i == r.centre[1] {
			far = s
			n++
		}
	}
	if n < 2 {
		return ""
	}
	return far
}

// MayHold says whether a strand that goes slack with what a mishap lets go of may be held by corners, with what is beyond it, so that it
// is felt: the centre main beyond the centre loop; from a cross on, whose weave holds too, any but the first.
func (r *Racket) MayHold(s Strand, mishap *Op) bool {
	slack := r.Slackens(mishap)
	return slices.Index(slack, s) > 0 && (r.index[slack[0]] >= r.mains || s == r.beyondLoop(slack))
}

// pairs says whether a flying clamp grips a strand together with its neighbour.
func (r *Racket) pairs(s Strand) bool {
	return slices.ContainsFunc(r.clamps[:], func(c standing) bool {
		return c.on && c.grip.With != "" && (c.grip.Strand == s || c.grip.With == s)
	})
}

// drawsThrough lets the gripper draw through the corners between it and what holds.
func (r *Racket) drawsThrough() {
	for {
		l, p := r.lineAt(*r.gripper)
		if l == nil || r.keeper(*r.gripper) {
			return
		}
		lo, hi := l.cell(r.held(l), p|1)
		n := len(r.corners)
		r.corners = slices.DeleteFunc(r.corners, func(c Spot) bool {
			x, at := r.lineAt(c)
			return x == l && (at == lo-1 || at == hi)
		})
		if len(r.corners) == n {
			return
		}
	}
}

// slackCorners forgets corners that hold nothing any more, for the string is slack on both sides.
func (r *Racket) slackCorners() {
	r.corners = slices.DeleteFunc(r.corners, func(c Spot) bool {
		l, p := r.lineAt(c)
		return l != nil && !l.tight[p] && !l.tight[p+1]
	})
}

// Corners are where corners and weave hold string beyond a knot that came open: the slack strand, by the hole where the tight string goes
// on; and what was felt to be tight where something let go, by the hole where the slack string comes to it.
func (r *Racket) Corners() []Spot { return r.corners }
