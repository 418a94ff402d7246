package draw

import (
	"cmp"

	"pullcard/tui/theme"
)

// Render draws the scene as h lines of exactly w cells, joined by newlines. Where the bed does not fit, the part round
// the strand in hand is shown; Fits tells beforehand.
func (s Scene) Render(w, h int, view View, style Palette) string {
	if s.empty() {
		var c canvas
		return c.lines(0, 0, w, h, &style)
	}
	g, l := s.fit(w, h, view)
	c := newCanvas(view, point{g.u.size, g.v.size})
	p := painter{Scene: &s, grid: g, canvas: c, style: &style, layout: l}
	p.paint()
	x, y := p.window(w, h)
	p.more(x, y, w, h)
	return c.lines(x, y, w, h, &style)
}

// window is the first cell to show: the bed in the middle, or, where it is too large, the strand in hand.
func (p *painter) window(w, h int) (x, y int) {
	fx, fy := p.view.turned(p.focus(), p.size)
	return shift(p.canvas.w, w, fx), shift(p.canvas.h, h, fy)
}

func shift(size, shown, focus int) int {
	if size <= shown {
		return (size - shown) / 2
	}
	return min(max(focus-shown/2, 0), size-shown)
}

// focus is the point that must be in sight: the hole where hands are, which pull the strand in hand where it leaves and lay it from where
// it comes in, else the middle.
func (p *painter) focus() point {
	at := cmp.Or(p.Entry, p.Exit)
	if p.pull {
		at = p.Exit
	}
	if h := p.hole(at); h != nil {
		return h.point
	}
	return point{p.size.u / 2, p.size.v / 2}
}

// more marks the edges of the picture beyond which the bed goes on, in the columns of the frame's letters.
func (p *painter) more(x, y, w, h int) {
	for _, row := range []int{y, y + h - 1} {
		beyond := row == y && y > 0 || row > y && y+h < p.canvas.h
		for _, column := range []int{max(x, 0), min(x+w, p.canvas.w) - 1} {
			if c := p.screen(column, row); beyond && c.arms == 0 {
				c.sign, c.ink = p.style.sign(markMore), theme.Label
			}
		}
	}
}
