package draw

import (
	"math"

	"pullcard/tui/theme"
)

// band is the frame as it is drawn, in half cells: at least thin all round the line of the holes, and where it is thick,
// filled up to a rounded outline.
type band struct {
	thinU, thinV int
	outline      *curve
}

// hoop draws the frame as a band round the line of the holes and the arms of the throat.
func (p *painter) hoop() {
	b := p.band()
	for v := range 2 * p.grid.v.size {
		lo, hi := p.halves(v, b)
		inLo, inHi := p.halfRow(v)
		for u := lo; u <= hi; u++ {
			if u < inLo || u > inHi {
				p.quarter(point{u, v}, theme.Hoop)
			}
		}
	}
	if p.layout.tail > 0 {
		p.throat(b)
	}
}

// band is as thick as two half columns or one half row, which is about the same on a screen, or twice that.
func (p *painter) band() band {
	b, wide, high := band{thinU: 2, thinV: 1}, 2.5, 1.5
	if p.layout.thick {
		b.thinU = 3
	}
	if p.view.level() {
		b.thinU, b.thinV, wide, high = b.thinV, b.thinU, high, wide
	}
	if p.layout.thick {
		c := p.curve
		c.a, c.b = c.a+wide, c.b+high
		b.outline = &c
	}
	return b
}

// halfRow is what the line of the holes encloses in a row of half cells; lo lies beyond hi where it is nothing.
func (p *painter) halfRow(v int) (lo, hi int) {
	row := v >> 1 // half a row above nought is in the row above
	if row < 0 || row >= len(p.lo) {
		return math.MaxInt / 2, math.MinInt / 2
	}
	return 2 * p.lo[row], 2*p.hi[row] + 1
}

// halves is a row of half cells of the whole frame, from its outer edge to its outer edge.
func (p *painter) halves(v int, b band) (lo, hi int) {
	lo, hi = math.MaxInt/2, math.MinInt/2
	for k := v - b.thinV; k <= v+b.thinV; k++ {
		l, h := p.halfRow(k)
		lo, hi = min(lo, l-b.thinU), max(hi, h+b.thinU)
	}
	if y := float64(v)/2 - .25; b.outline != nil && math.Abs(y-b.outline.midV) <= b.outline.b {
		left := b.outline.depthU(y)
		lo = min(lo, int(math.Ceil(2*(b.outline.midU-b.outline.a+left)+.5)))
		hi = max(hi, int(math.Floor(2*(b.outline.midU+b.outline.a-left)+.5)))
	}
	return lo, hi
}

// throat draws the two arms that run from the hoop to the handle.
func (p *painter) throat(b band) {
	thick := b.thinU + 1
	mid := p.grid.u.low + p.grid.u.high + 1
	half := float64(p.grid.u.high - p.grid.u.low)
	first, last := 2*p.grid.v.high-3*p.layout.tail, 2*p.grid.v.size
	reach := func(v int) int {
		t := 1 - float64(v-first)/float64(last-first)
		return max(thick+2, int(math.Round(half*(.1+.66*math.Pow(max(t, 0), 1.3)))))
	}
	for v := first; v < last; v++ {
		lo, hi := p.halfRow(v)
		if hi >= lo && mid+reach(v) > hi+2*thick {
			continue // still beside the hoop
		}
		for d := min(reach(v+1), reach(v)-thick+1); d <= reach(v); d++ {
			for _, u := range []int{mid - d - 1, mid + d} {
				if u < lo || u > hi {
					p.quarter(point{u, v}, theme.Hoop)
				}
			}
		}
	}
}
