package draw

import (
	"strings"
	"unicode"

	"pullcard/tui/theme"
)

// cell is what one cell of the screen shows: a sign, else lines, else filled quarters.
type cell struct {
	sign   rune
	arms   arms
	stroke stroke
	block  uint8
	ink    theme.Role
}

// canvas is the whole bed on the screen, turned as the view says. Painters give points of the bed.
type canvas struct {
	view  View
	size  point // of the bed
	w, h  int   // of the screen
	cells []cell
	none  cell // takes what lies outside
}

func newCanvas(view View, size point) *canvas {
	c := &canvas{view: view, size: size, w: size.u, h: size.v}
	if view.level() {
		c.w, c.h = size.v, size.u
	}
	c.cells = make([]cell, c.w*c.h)
	return c
}

// at is the cell of a point of the bed.
func (c *canvas) at(p point) *cell {
	x, y := c.view.turned(p, c.size)
	return c.screen(x, y)
}

func (c *canvas) screen(x, y int) *cell {
	if i, ok := c.index(x, y); ok {
		return &c.cells[i]
	}
	c.none = cell{}
	return &c.none
}

// index is that of a cell of the screen; ok is false outside.
func (c *canvas) index(x, y int) (i int, ok bool) {
	return y*c.w + x, x >= 0 && y >= 0 && x < c.w && y < c.h
}

// side is the arm that points along a step on the bed.
func (c *canvas) side(d point) int {
	switch dx, dy := c.view.way(d); {
	case dy < 0:
		return armUp
	case dx > 0:
		return armRight
	case dy > 0:
		return armDown
	}
	return armLeft
}

// sign sets a sign where none is yet and says whether it did.
func (c *canvas) sign(p point, r rune, ink theme.Role) bool {
	at := c.at(p)
	if at.sign != 0 || at == &c.none {
		return false
	}
	at.sign, at.ink = r, ink
	return true
}

// write sets a number on the screen, where it must lie, if its cells are free and no digit stands beside them.
func (c *canvas) write(x, y int, text string, ink theme.Role) bool {
	if digit(c.screen(x-1, y)) || digit(c.screen(x+len(text), y)) {
		return false
	}
	for i := range len(text) {
		if *c.screen(x+i, y) != (cell{}) {
			return false
		}
	}
	for i, r := range text {
		*c.screen(x+i, y) = cell{sign: r, ink: ink}
	}
	return true
}

func digit(c *cell) bool { return unicode.IsDigit(c.sign) }

// quarter fills the quarter of a cell of the bed; s counts half cells.
func (c *canvas) quarter(s point, ink theme.Role) {
	x, y := c.view.turned(s, point{2 * c.size.u, 2 * c.size.v})
	at := c.screen(x>>1, y>>1) // half a cell above nought is in the cell above
	at.block |= 1 << (x&1 + 2*(y&1))
	if at.sign == 0 && at.arms == 0 {
		at.ink = ink
	}
}

// lines prints the part of the canvas that begins at a cell as h lines of w cells.
func (c *canvas) lines(x0, y0, w, h int, p *Palette) string {
	var b strings.Builder
	for y := range h {
		if y > 0 {
			b.WriteByte('\n')
		}
		c.row(&b, x0, y0+y, w, p)
	}
	return b.String()
}

// row prints a line with as few changes of colour as can be: a blank takes the colour that is on.
func (c *canvas) row(b *strings.Builder, x0, y, w int, p *Palette) {
	const off = -1
	on := off
	for x := x0; x < x0+w; x++ {
		r, ink := ' ', on
		if i, ok := c.index(x, y); ok {
			at := &c.cells[i]
			if r = p.show(at); r != ' ' {
				ink = int(at.ink)
			}
		}
		if ink != on {
			if on != off {
				b.WriteString(p.after[on])
			}
			b.WriteString(p.before[ink])
			on = ink
		}
		b.WriteRune(r)
	}
	if on != off {
		b.WriteString(p.after[on])
	}
}

func (p *Palette) show(c *cell) rune {
	switch {
	case c.sign != 0:
		return c.sign
	case c.arms != 0:
		return p.line(c.arms, c.stroke)
	}
	return p.block(c.block)
}
