package draw

import "pullcard/tui/theme"

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
	case dx < 0:
		x = 0
	case dx > 0:
		x = p.canvas.w - 1
	case !p.layout.hoop:
		x = p.corner(y) // no row is free outside the holes
	default:
		y += dy
		for _, dx := range []int{0, 1, -1, 2, -2} {
			if p.screen(x+dx, y).sign == 0 { // a mark of the string goes first
				x += dx
				break
			}
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
