package grid

import (
	"math"

	"pullcard/patterns"
)

// slot is a hole in its order round the rim, with the strands that it carries.
type slot struct {
	hole  patterns.Hole
	main  int // index of the column, -1 without a main
	end   patterns.End
	cross int     // index of the row, -1 without a cross
	fixed bool    // measured with a tape
	at    float64 // where, when measured
	room  float64 // how much of the rim it and the holes before it need
}

// chain is the order of the holes that carry string: the left side's from head to throat where both sides are alike,
// otherwise all of them from the throat up the right side and down the left. A place on it is the rim's length from
// the head, positive on the left and negative on the right.
type chain struct {
	slots  []slot
	mirror bool // left and right are alike
	level  bool // head and throat are
	blocks []block
}

// block is a run of holes that push each other.
type block struct {
	mean, weight float64
	first, end   int
}

func newChain(f *patterns.Frame, m Measured) *chain {
	c := &chain{mirror: alike(f) && paired(m), level: level(f) && len(m.Along) == 0}
	carried := carries(f)
	add := func(h patterns.Hole) {
		if s, ok := carried[h]; ok {
			s.at, s.fixed = m.Along[h], false
			if _, ok := m.Along[h]; ok {
				s.fixed = true
			}
			if h.Side == patterns.Right {
				s.at = -s.at
			}
			c.slots = append(c.slots, s)
		}
	}
	for n := f.Holes[patterns.Right]; n >= 1 && !c.mirror; n-- {
		add(patterns.Hole{Side: patterns.Right, N: n})
	}
	for n := 1; n <= f.Holes[patterns.Left]; n++ {
		add(patterns.Hole{Side: patterns.Left, N: n})
	}
	c.blocks = make([]block, 0, len(c.slots))
	return c
}

// carries lists what every hole carries.
func carries(f *patterns.Frame) map[patterns.Hole]slot {
	all := make(map[patterns.Hole]slot, f.Total())
	get := func(h patterns.Hole) slot {
		if s, ok := all[h]; ok {
			return s
		}
		return slot{hole: h, main: -1, cross: -1}
	}
	for i, m := range f.Columns() {
		for e, h := range m.Ends {
			s := get(h)
			s.main, s.end = i, patterns.End(e)
			all[h] = s
		}
	}
	for i, x := range f.Crosses {
		for _, h := range x.Ends {
			s := get(h)
			s.cross = i
			all[h] = s
		}
	}
	return all
}

// alike says whether the right side is the left one's mirror image.
func alike(f *patterns.Frame) bool {
	if f.Holes[0] != f.Holes[1] || len(f.Mains[0]) != len(f.Mains[1]) {
		return false
	}
	for i, m := range f.Mains[patterns.Left] {
		for e, h := range m.Ends {
			if f.Mains[patterns.Right][i].Ends[e].N != h.N {
				return false
			}
		}
	}
	for _, x := range f.Crosses {
		if x.Ends[0].N != x.Ends[1].N {
			return false
		}
	}
	return true
}

// paired says whether like places were measured on both sides.
func paired(m Measured) bool {
	for h, along := range m.Along {
		if other, ok := m.Along[patterns.Hole{Side: h.Side.Other(), N: h.N}]; !ok || math.Abs(other-along) > 1e-6 {
			return false
		}
	}
	return true
}

// level says whether the throat is the head's mirror image.
func level(f *patterns.Frame) bool {
	for _, m := range f.Columns() {
		if f.Count(m.Ends[patterns.Head], patterns.Head) != f.Count(m.Ends[patterns.Throat], patterns.Throat) {
			return false
		}
	}
	for i, x := range f.Crosses {
		y := f.Crosses[len(f.Crosses)-1-i]
		if f.Count(x.Ends[0], patterns.Head) != f.Count(y.Ends[0], patterns.Throat) ||
			f.Count(x.Ends[1], patterns.Head) != f.Count(y.Ends[1], patterns.Throat) {
			return false
		}
	}
	return true
}

// reserve gives every hole its room: the gap to the one before it, less where measured holes leave less.
func (c *chain) reserve(gap float64) {
	last := -1
	for i := 1; i < len(c.slots); i++ {
		c.slots[i].room = c.slots[i-1].room + gap
	}
	for i, s := range c.slots {
		if !s.fixed {
			continue
		}
		if last >= 0 && i > last {
			each := min(gap, (s.at-c.slots[last].at)/float64(i-last))
			c.shift(last+1, i, each)
		}
		last = i
	}
}

// shift gives the holes from first to last a gap of their own and moves the rest up.
func (c *chain) shift(first, last int, gap float64) {
	old := c.slots[last].room
	for j := first; j <= last; j++ {
		c.slots[j].room = c.slots[j-1].room + gap
	}
	for j := last + 1; j < len(c.slots); j++ {
		c.slots[j].room += c.slots[last].room - old
	}
}

// spread puts the holes as near to their wished places as their order and their room between lo and hi allow:
// weighted isotonic regression of what is left when the room is taken off, by pooling neighbours that push each other.
// Source, from memory: Barlow, Bartholomew, Bremner & Brunk, Statistical Inference under Order Restrictions (1972).
func (c *chain) spread(wish, weight, place []float64, lo, hi float64) {
	c.blocks = c.blocks[:0]
	for i := range c.slots {
		b := block{wish[i] - c.slots[i].room, weight[i], i, i + 1}
		for n := len(c.blocks); n > 0 && c.blocks[n-1].mean >= b.mean; n-- {
			p := c.blocks[n-1]
			w := p.weight + b.weight
			b = block{(p.mean*p.weight + b.mean*b.weight) / w, w, p.first, b.end}
			c.blocks = c.blocks[:n-1]
		}
		c.blocks = append(c.blocks, b)
	}
	hi -= c.slots[len(c.slots)-1].room
	for _, b := range c.blocks {
		for i := b.first; i < b.end; i++ {
			place[i] = min(max(b.mean, lo), hi) + c.slots[i].room
		}
	}
}
