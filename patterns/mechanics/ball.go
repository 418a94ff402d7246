package mechanics

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"pullcard/patterns"
	"pullcard/patterns/grid"
)

// Ball is what presses on a bed: a force in newtons on a round patch, hardest in its middle.
type Ball struct{ RadiusMM, ForceN float64 }

// BallOf is a hard stroke's ball of a sport. The patch has nine tenths of the ball's radius, which is 33.5 mm in tennis,
// 20 in squash, 28.6 in racquetball and 13.3 of a shuttle's cork (the sports' rules, from memory); share and forces are
// this program's own choice.
func BallOf(s patterns.Sport) Ball {
	switch s {
	case patterns.Badminton:
		return Ball{RadiusMM: 12, ForceN: 60}
	case patterns.Squash:
		return Ball{RadiusMM: 18, ForceN: 150}
	case patterns.Racquetball:
		return Ball{RadiusMM: 26, ForceN: 250}
	}
	return Ball{RadiusMM: 30, ForceN: 500}
}

// places are where a ball comes down about the middle: at a quarter of the way between strings to one side and to the
// other, so that it does not matter where the strings happen to lie: the mean over both is the same wherever the middle is.
func (n *Net) places(middle grid.Point) [2]grid.Point {
	at := n.nodes[n.Nearest(middle)]
	x, y := n.width(at.Main, middle)/4, n.width(n.mains+at.Cross, middle)/4
	return [2]grid.Point{{X: middle.X - x, Y: middle.Y - y}, {X: middle.X + x, Y: middle.Y + y}}
}

// Press is a load of 1 N on the round patch about a point, as a ball spreads it: its pressure falls as (1 − r²/R²)² to
// nought at the rim, each string carries the width of bed that is its own along itself, and hands it to its crossings by
// the lever. So the load changes smoothly as the patch moves over the strings. Where no string passes under the patch, the
// nearest crossing carries all.
func (n *Net) Press(at grid.Point, radiusMM float64) []float64 {
	load := make([]float64, len(n.nodes))
	for i := range n.threads {
		n.press(load, i, at, radiusMM)
	}
	sum := 0.0
	for _, f := range load {
		sum += f
	}
	if sum == 0 {
		return n.Point(n.Nearest(at))
	}
	for i := range load {
		load[i] /= sum
	}
	return load
}

// press adds what a string carries.
func (n *Net) press(load []float64, i int, at grid.Point, radius float64) {
	t := &n.threads[i]
	p, q := t.Ends[0], t.Ends[1]
	dx, dy := (q.X-p.X)/t.length, (q.Y-p.Y)/t.length
	along := (at.X-p.X)*dx + (at.Y-p.Y)*dy // where the string is nearest to the point
	aside := (at.X-p.X)*dy - (at.Y-p.Y)*dx
	half := math.Sqrt(max(radius*radius-aside*aside, 0))
	begin, width := 0.0, n.width(i, at)
	for k, l := range t.spans {
		from, to := max(begin, along-half), min(begin+l, along+half)
		start := begin
		begin += l
		if from >= to {
			continue
		}
		// A polynomial of fifth degree: three points give its integral exactly.
		each := func(share func(v float64) float64) float64 {
			return width * quad.Fixed(func(s float64) float64 {
				v := 1 - (aside*aside+(s-along)*(s-along))/(radius*radius)
				return v * v * share((s-start)/l)
			}, from, to, 3, nil, 0)
		}
		if k > 0 {
			load[t.nodes[k-1]] += each(func(v float64) float64 { return 1 - v })
		}
		if k < len(t.nodes) {
			load[t.nodes[k]] += each(func(v float64) float64 { return v })
		}
	}
}

// width is how much of the bed is a string's own beside a point: half of the way to its neighbours, twice that to the one
// where it has no other. The strings stand nearly alike, so their distances are those of the feet of the point on them.
func (n *Net) width(i int, at grid.Point) float64 {
	kind := n.threads[:n.mains]
	if i >= n.mains {
		kind, i = n.threads[n.mains:], i-n.mains
	}
	foot := func(t *thread) float64 {
		p, q := t.Ends[0], t.Ends[1]
		return ((at.X-p.X)*(q.Y-p.Y) - (at.Y-p.Y)*(q.X-p.X)) / t.length
	}
	lo, hi := max(i-1, 0), min(i+1, len(kind)-1)
	if lo == hi {
		return 1
	}
	return math.Abs(foot(&kind[hi])-foot(&kind[lo])) / float64(hi-lo)
}
