package hoop

import (
	"cmp"
	"math"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/grid"
)

// Tube is how stiff a hoop's tube is, the same all the way but over the throat, where it is Yoke times as stiff.
type Tube struct {
	Section
	Yoke float64
}

// YokeShare is the share of the rim, round the throat's centre, over which the yoke is.
const YokeShare = 1.0 / 6

// Hoop is the ring of a grid and what lies on it.
type Hoop struct {
	*Ring
	Head, Left, Right int // the nodes at the ends of the axes; that at the throat is the first
	Supports          []int
	Named             []int // the nodes of holes, supports and axes in their order round

	holes map[patterns.Hole]int
}

// spot is a place along the rim where a node must lie.
type spot struct {
	along float64
	put   func(node int)
}

// near is how close in mm a support or the end of an axis may be to a hole to have its node.
const near = 1.0

// Lay puts nodes at the holes of a grid, at the ends of the axes and at supports, told by their angle in radians from the head to
// the left, and between them no farther apart than most, in mm. They go round counter-clockwise from the throat.
func Lay(g *grid.Grid, t Tube, supports []float64, most float64) *Hoop {
	h := &Hoop{Ring: &Ring{}, holes: map[patterns.Hole]int{}, Supports: make([]int, len(supports))}
	half := g.Shape.RimMM() / 2
	spots := []spot{
		{-half, func(int) {}}, {0, func(n int) { h.Head = n }}, {half / 2, func(n int) { h.Left = n }}, {-half / 2, func(n int) { h.Right = n }},
	}
	for _, c := range slices.Concat(g.Frame.Columns(), g.Frame.Crosses) {
		for _, hole := range c.Ends {
			spots = append(spots, spot{g.AlongMM(hole), func(n int) { h.holes[hole] = n }})
		}
	}
	holes := len(spots)
	for i := range spots[:4] {
		spots[i].along = snap(spots[i].along, spots[4:])
	}
	for i, angle := range supports {
		spots = append(spots, spot{snap(g.Shape.TowardsMM(angle), spots[4:holes]), func(n int) { h.Supports[i] = n }})
	}
	for i := range spots { // the throat's centre is the first node from either side
		if spots[i].along > half-1e-6 {
			spots[i].along -= 2 * half
		}
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.along, b.along) })
	yoke := func(along float64) bool { return math.Abs(along) > half*(1-YokeShare) }
	add := func(along, next float64) {
		h.Nodes = append(h.Nodes, g.Shape.Rim(along))
		s := t.Section
		if yoke((along + next) / 2) {
			s.EI, s.EA = s.EI*t.Yoke, s.EA*t.Yoke
		}
		h.Tube = append(h.Tube, s)
	}
	for i := 0; i < len(spots); {
		here := spots[i].along
		for i < len(spots) && spots[i].along <= here+1e-6 {
			spots[i].put(len(h.Nodes))
			i++
		}
		h.Named = append(h.Named, len(h.Nodes))
		next := half
		if i < len(spots) {
			next = spots[i].along
		}
		pieces := max(1, int(math.Ceil((next-here)/most)))
		for k := range pieces {
			step := (next - here) / float64(pieces)
			add(here+float64(k)*step, here+float64(k+1)*step)
		}
	}
	return h
}

// snap moves a place to the nearest of some that is near enough; likewise on either side of the hoop.
func snap(along float64, to []spot) float64 {
	best := along
	for _, s := range to {
		if d := math.Abs(s.along - along); d < near && (best == along || d < math.Abs(best-along)) {
			best = s.along
		}
	}
	return best
}

// Hole is the node of a hole; ok is false for one that carries no string.
func (h *Hoop) Hole(hole patterns.Hole) (node int, ok bool) {
	node, ok = h.holes[hole]
	return node, ok
}

// Converge condenses finer and finer hoops until their flexibility stands still to a share, and gives the finer of the last two.
// Each halving leaves a quarter of the error.
func Converge(lay func(most float64) *Hoop, actions func(*Hoop) []Action, share float64) (*Hoop, *Condensed, error) {
	const coarse, halvings = 6.0, 6
	var last *Condensed
	for most, i := coarse, 0; ; most, i = most/2, i+1 {
		h := lay(most)
		c, err := h.Condense(actions(h), h.Named)
		if err != nil {
			return nil, nil, err
		}
		if last != nil && (c.apart(last) < share || i == halvings) {
			return h, c, nil
		}
		last = c
	}
}

// apart is the largest difference of two flexibilities as a share of the largest flexibility.
func (c *Condensed) apart(d *Condensed) float64 {
	most, far := 0.0, 0.0
	for i := range c.Flex.SymmetricDim() {
		for j := i; j < c.Flex.SymmetricDim(); j++ {
			most = math.Max(most, math.Abs(c.Flex.At(i, j)))
			far = math.Max(far, math.Abs(c.Flex.At(i, j)-d.Flex.At(i, j)))
		}
	}
	return far / most
}
