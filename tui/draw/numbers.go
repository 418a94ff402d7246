package draw

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"pullcard/patterns"
	"pullcard/tui/theme"
)

// How far from its hole a number may stand, in columns and rows beyond the hoop.
const (
	farAcross = 9
	farDown   = 4
	// apartLeast is by how much two numbers must lie on either hand of each other, the share of a hoop's area.
	apartLeast = 1e-6
	// Where the hoop is steeper than it is flat, from that share of its width on, a number stands level with its hole, for there the eye
	// goes along the row: a row off counts for so many more.
	steepFrom, rowOff = .55, 3.0
	tooFar            = 9.0 // beyond that, in rows and with what it is off straight out, it is left out
)

// bearing is where something lies on the screen as seen from the middle of the bed, with the hoop's width and height as one.
type bearing struct{ x, y float64 }

// turns says on which hand another bearing lies: below nought on one, above on the other.
func (b bearing) turns(to bearing) float64 { return b.x*to.y - b.y*to.x }

// numbers writes the numbers of the holes outside the hoop, in the order in which the holes lie round it: a number that would
// stand on the wrong side of another is left out. It goes from the middle of each side to its ends, where room is scarce.
func (p *painter) numbers() {
	g := p.ground()
	for _, side := range patterns.Sides() {
		middle := (p.Scene.ring.sides[side] + 1) / 2
		p.quarterNumbers(side, middle, 1, &g)
		p.quarterNumbers(side, middle+1, p.Scene.ring.sides[side], &g)
	}
}

// ground is where no number may stand: what the hoop encloses, and by hand and row of the screen whether a hole with a strand is there.
type ground struct {
	inside []bool
	holes  [2][]bool
}

func (p *painter) ground() (g ground) {
	g.inside = make([]bool, p.canvas.w*p.canvas.h)
	for v := range p.grid.lo {
		for u := p.grid.lo[v]; u <= p.grid.hi[v]; u++ {
			x, y := p.view.turned(point{u, v}, p.size)
			i, _ := p.canvas.index(x, y)
			g.inside[i] = true
		}
	}
	g.holes = [2][]bool{make([]bool, p.canvas.h), make([]bool, p.canvas.h)}
	for i := range p.holes {
		if h := &p.holes[i]; h.used() {
			x, y := p.xy(h)
			g.holes[right(p.bearing(x, y))][int(y)] = true
		}
	}
	return g
}

// within says whether no number may stand in a cell, as the hoop encloses it or it is none.
func (p *painter) within(g *ground, x, y int) bool {
	i, ok := p.canvas.index(x, y)
	return !ok || g.inside[i]
}

// right is 1 for what lies right of the middle, 0 for the rest.
func right(b bearing) int {
	if b.x > 0 {
		return 1
	}
	return 0
}

// quarterNumbers numbers the holes of a side from one to another.
func (p *painter) quarterNumbers(side patterns.Side, from, to int, g *ground) {
	step, hand := 1, 1.0
	if to < from {
		step, hand = -1, -1
	}
	if (side == patterns.Left) != p.view.Mirror {
		hand = -hand
	}
	place := func(n int) int {
		if side == patterns.Right {
			return p.Scene.ring.total() + 1 - n
		}
		return n
	}
	var last *bearing
	for n := from; n != to+step; n += step {
		if k := place(n); p.holes[k].drawn() {
			last = cmp.Or(p.number(k, &p.holes[k], last, hand, g), last)
		}
	}
}

func (p *painter) xy(h *hole) (x, y float64) {
	a, b := p.view.turned(h.point, p.size)
	return float64(a), float64(b)
}

// bearing is that of a place on the screen.
func (p *painter) bearing(x, y float64) bearing {
	mid := point{p.grid.u.low + p.grid.u.high, p.grid.v.low + p.grid.v.high}
	half := bearing{float64(p.grid.u.high-p.grid.u.low) / 2, float64(p.grid.v.high-p.grid.v.low) / 2}
	if p.view.level() {
		half.x, half.y = half.y, half.x
	}
	mx, my := p.view.turned(mid, point{2*p.size.u - 1, 2*p.size.v - 1}) // in half cells
	return bearing{(x - float64(mx)/2) / half.x, (y - float64(my)/2) / half.y}
}

// rivals are where the other holes of the same number are drawn.
func (p *painter) rivals(place int) (at [][2]float64) {
	n := p.Scene.ring.count(place)
	for k := range p.holes {
		if k != place && p.holes[k].drawn() && p.Scene.ring.count(k) == n {
			x, y := p.xy(&p.holes[k])
			at = append(at, [2]float64{x, y})
		}
	}
	return at
}

// nearer says whether a place is no further from one of some holes than from its own.
func nearer(x, y, ownX, ownY float64, holes [][2]float64) bool {
	own := math.Hypot((x-ownX)/2, y-ownY)
	return slices.ContainsFunc(holes, func(at [2]float64) bool { return math.Hypot((x-at[0])/2, y-at[1]) <= own })
}

// number writes a hole's number in the nearest free place outside the hoop, straight out as far as can be, and says where; nil
// where there is none that keeps the order.
func (p *painter) number(place int, h *hole, last *bearing, hand float64, g *ground) *bearing {
	text := strconv.Itoa(p.Scene.ring.count(place))
	px, py := p.xy(h)
	rivals := p.rivals(place)
	out := p.bearing(px, py)
	steep := math.Abs(out.x) > steepFrom
	type spot struct {
		x, y int
		cost float64
	}
	spots := make([]spot, 0, (2*farDown+1)*(2*farAcross+1))
	for dy := -farDown; dy <= farDown; dy++ {
		for dx := -farAcross; dx <= farAcross; dx++ {
			x, y := int(px)+dx, int(py)+dy
			if p.within(g, x, y) || p.within(g, x+len(text)-1, y) {
				continue
			}
			middle := float64(x) + float64(len(text)-1)/2
			at := p.bearing(middle, float64(y))
			if last != nil && last.turns(at)*hand < apartLeast || at.x*at.x+at.y*at.y <= out.x*out.x+out.y*out.y {
				continue
			}
			across, down := (middle-px)/2, float64(dy) // a cell is twice as high as wide
			cost := math.Hypot(across, down) + 12*math.Abs(out.turns(at))
			if steep && down != 0 && g.holes[right(out)][y] { // it would be taken for that hole's
				continue
			}
			if steep {
				cost = math.Hypot(across, down) + rowOff*math.Abs(down)
			}
			if cost > tooFar || nearer(middle, float64(y), px, py, rivals) {
				continue
			}
			spots = append(spots, spot{x, y, cost})
		}
	}
	for len(spots) > 0 { // the first is free but for a few: the others need no order
		i := 0
		for j, s := range spots {
			if s.cost < spots[i].cost {
				i = j
			}
		}
		s := spots[i]
		spots = slices.Delete(spots, i, i+1)
		if p.write(s.x, s.y, text, theme.Label) {
			b := p.bearing(float64(s.x)+float64(len(text)-1)/2, float64(s.y))
			return &b
		}
	}
	return nil
}
