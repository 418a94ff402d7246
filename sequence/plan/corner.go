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
	if next := far + step; next < 0 || next >= len(l.places) || held[p] || held[far] || held[next] || !l.tight[far+max(step, 0)] {
		return
	}
	for i, count := far+step, [2]int{}; i >= 0 && i < len(l.places) && !held[i-step] && !held[i]; i += 2 * step {
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

// Corners are where corners and weave hold string beyond a knot that came open: the slack strand, by the hole where the tight string goes
// on.
func (r *Racket) Corners() []Spot { return r.corners }
