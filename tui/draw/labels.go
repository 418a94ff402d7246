package draw

import (
	"strconv"

	"pullcard/tui/theme"
)

// labels writes the ends and the sides of the frame, and the numbers of the holes where there is room for them.
func (p *painter) labels() {
	if p.layout.numbers {
		p.numbers()
	}
	midU, midV := (p.grid.u.low+p.grid.u.high)/2, (p.grid.v.low+p.grid.v.high)/2
	p.letter("H", point{midU, p.grid.v.low}, point{v: -1})
	p.letter("T", point{midU, p.grid.v.high}, point{v: 1})
	p.letter("L", point{p.grid.u.low, midV}, point{u: -1})
	p.letter("R", point{p.grid.u.high, midV}, point{u: 1})
}

// letter writes a letter of the frame outside the middle of an end or a side.
func (p *painter) letter(text string, at, out point) {
	x, y := p.view.turned(at, p.size)
	dx, dy := p.view.way(out)
	switch {
	case dy == 0 && dx < 0:
		x = 0
	case dy == 0:
		x = p.canvas.w - 1
	case !p.layout.hoop:
		x = p.corner(y) // no row is free outside the holes
	default:
		y += dy
		for d := 0; p.screen(x, y).sign != 0 && d < 4; d++ { // a mark of the string goes first
			x += (d + 1) * (1 - d%2*2)
		}
	}
	q := p.screen(x, y)
	q.sign, q.ink = rune(text[0]), theme.Label
}

// corner is the column left of all that is drawn in a row of the screen.
func (p *painter) corner(y int) int {
	for x := range p.canvas.w {
		if c := p.screen(x, y); c.sign != 0 || c.arms != 0 {
			return max(x-2, 0)
		}
	}
	return 0
}

// numbers writes the numbers of the holes: first of those on the sides, whose numbers keep to their rows.
func (p *painter) numbers() {
	for _, mains := range []bool{p.view.level(), !p.view.level()} {
		for i := range p.holes {
			if h := &p.holes[i]; h.on >= 0 && (h.main >= 0) == mains {
				p.number(i)
			}
		}
	}
}

// number writes a hole's number beyond the hoop.
func (p *painter) number(place int) {
	h := &p.holes[place]
	out := p.inward(h, h.main >= 0)
	out = point{-out.u, -out.v}
	text := strconv.Itoa(p.Scene.ring.count(place))
	dx, _ := p.view.way(out)
	at := h.plus(out)
	for range 9 {
		at = at.plus(out)
		if p.encloses(at) {
			continue
		}
		x, y := p.view.turned(at, p.size)
		switch {
		case dx < 0:
			x -= len(text) - 1
		case dx == 0 && 2*x < p.canvas.w:
			x -= len(text) - 1
		}
		if p.write(x, y, text, theme.Label) {
			return
		}
	}
}
