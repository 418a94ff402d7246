package draw

import (
	"cmp"
	"math"

	"pullcard/patterns"
)

// grid is the bed laid out in cells, as the layout has it: a column for each main, a row for each cross, a point for each hole. The
// holes lie on a rounded line, moved where their order round the hoop asks for it, so that strands cross in the picture where
// their chords cross and nowhere else.
type grid struct {
	ring  ring
	u, v  axis
	curve curve
	holes []hole  // by place on the ring
	line  []point // the line of the holes, once round in the ring's direction
	lo    []int   // by row: the first and the last cell that the line encloses, itself included
	hi    []int
	// columnOf and rowOf are the main of a column of cells and the cross of a row, -1 between them.
	columnOf, rowOf []int
}

// hole is a place on the ring in the picture.
type hole struct {
	point
	main, cross int // the strands whose home this is, -1 for none
	end, side   int // of the main and of the cross
	on          int // index on the line, -1 when the hole is not drawn
}

func newGrid(s *Scene, u, v axis) *grid {
	g := &grid{ring: s.ring, u: u, v: v, holes: make([]hole, s.ring.total()+1)}
	for i := range g.holes {
		g.holes[i] = hole{main: -1, cross: -1, on: -1}
	}
	for i := range s.mains {
		for end, place := range s.mains[i].home {
			g.holes[place].main, g.holes[place].end = i, end
		}
	}
	for i := range s.crosses {
		for side, place := range s.crosses[i].home {
			g.holes[place].cross, g.holes[place].side = i, side
		}
	}
	g.holes[0] = hole{main: -1, cross: -1, on: -1}
	g.columnOf, g.rowOf = u.index(), v.index()
	g.round()
	g.join()
	g.enclose()
	return g
}

// drawn says whether a hole lies on the line.
func (h *hole) drawn() bool { return h.on >= 0 }

// used says whether a strand ends at a hole.
func (h *hole) used() bool { return h.main >= 0 || h.cross >= 0 }

// inwards are the steps from a hole along the strands that end there.
func (h *hole) inwards() (steps []point) {
	if h.main >= 0 {
		steps = append(steps, point{0, 1 - 2*h.end})
	}
	if h.cross >= 0 {
		steps = append(steps, point{1 - 2*h.side, 0})
	}
	return steps
}

// round gives every used hole its point, quarter by quarter, on the roundest line that suits their order: an ellipse
// where there is room for one, else something squarer.
func (g *grid) round() {
	best, exponent := math.Inf(1), 2.0
	for n := 2.0; n < 5; n += .25 {
		g.curve = newCurve(g.u, g.v, n)
		if moved := g.quarters(); moved < best {
			best, exponent = moved, n
		}
	}
	g.curve = newCurve(g.u, g.v, exponent)
	g.quarters()
}

func (g *grid) quarters() (moved float64) {
	for _, side := range patterns.Sides() {
		for _, end := range []patterns.End{patterns.Head, patterns.Throat} {
			q := quarter{grid: g, side: side, end: end}
			moved += q.place()
		}
	}
	return moved
}

// join draws the line from hole to hole.
func (g *grid) join() {
	var used []int
	for place := range g.holes {
		if g.holes[place].used() {
			used = append(used, place)
		}
	}
	for i, at := range used {
		next := used[(i+1)%len(used)]
		g.holes[at].on = len(g.line)
		g.line = append(g.line, g.holes[at].point)
		g.walk(&g.holes[at], &g.holes[next])
		g.strew(at, next)
	}
}

// walk draws the line between two neighbouring holes, close to the curve, without stepping on the strands that end there.
func (g *grid) walk(from, to *hole) {
	d := point{cmp.Compare(to.u, from.u), cmp.Compare(to.v, from.v)}
	keepOff := func(step point) bool {
		for _, in := range to.inwards() {
			if in == step {
				return true
			}
		}
		return false
	}
	// Once in the last hole's column the line can only go on along it, and likewise in its row.
	shunU, shunV := keepOff(point{0, -d.v}), keepOff(point{-d.u, 0})
	at := from.point
	for {
		left := point{to.u - at.u, to.v - at.v}
		if left.u == 0 && left.v == 0 {
			return
		}
		along := point{d.u, 0}
		if left.u == 0 || left.v != 0 && g.prefersV(from, at, left, d, shunU, shunV) {
			along = point{0, d.v}
		}
		at = at.plus(along)
		if at != to.point {
			g.line = append(g.line, at)
		}
	}
}

// prefersV chooses between a step across and a step along the frame where both lead on.
func (g *grid) prefersV(from *hole, at, left, d point, shunU, shunV bool) bool {
	if at == from.point {
		for _, in := range from.inwards() {
			switch in {
			case point{d.u, 0}:
				return true
			case point{0, d.v}:
				return false
			}
		}
	}
	if shunU && left.u == d.u {
		return true
	}
	if shunV && left.v == d.v {
		return false
	}
	return g.curve.off(at.u, at.v+d.v) < g.curve.off(at.u+d.u, at.v)
}

// strew puts the holes without strands between two used ones evenly on the line that was just drawn there.
func (g *grid) strew(from, to int) {
	empty := (to - from + g.ring.total() - 1) % g.ring.total()
	start := g.holes[from].on + 1
	for i := 1; i <= empty && start < len(g.line); i++ {
		h := &g.holes[g.ring.step(from, i)]
		h.on = start + (len(g.line)-start)*i/(empty+1)
		h.point = g.line[h.on]
	}
}

// enclose notes what the line encloses, row by row.
func (g *grid) enclose() {
	g.lo, g.hi = make([]int, g.v.size), make([]int, g.v.size)
	for v := range g.lo {
		g.lo[v], g.hi[v] = g.u.size, -1
	}
	for _, p := range g.line {
		g.lo[p.v], g.hi[p.v] = min(g.lo[p.v], p.u), max(g.hi[p.v], p.u)
	}
}

// encloses says whether a point lies on the line or inside it.
func (g *grid) encloses(p point) bool {
	return p.v >= 0 && p.v < len(g.lo) && p.u >= g.lo[p.v] && p.u <= g.hi[p.v]
}
