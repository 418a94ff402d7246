package hoop

import (
	"pullcard/patterns/grid"
	"pullcard/sequence/plan"
	"pullcard/sequence/strain"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// left is how a strand is drawn by what is left of its pull: the more, the heavier. Colour only repeats it.
type left struct {
	least         float64
	main, cross   rune
	mainA, crossA rune // with ASCII characters only
	role          theme.Role
	words         string
}

func marks() []left {
	return []left{
		{.9, '┃', '━', '#', '=', theme.OK, "90 % and more"},
		{.7, '│', '─', '|', '-', theme.Text, "70 %"},
		{.5, '╎', '╌', ':', '~', theme.Warn, "50 %"},
		{0, '┊', '┈', '.', '.', theme.Danger, "less"},
	}
}

// least is the smallest picture that still says something, in rows.
const least = 8

// draw is the hoop as it gives when the step is over, head up; nil where it does not fit.
func (m Model) draw() *screen.Cells {
	if m.sheet.Course == nil {
		return nil
	}
	p := m.sheet.Course.Picture(m.step, 0)
	lo, hi := p.Bounds()
	c := m.Picture(lo, hi, least)
	if c == nil {
		return nil
	}
	for _, main := range []bool{false, true} { // where they cross, mains show in every other row, so that both do
		for _, s := range p.Strokes {
			if plan.Strand(s.Name).IsMain() == main {
				r, role := m.sign(s)
				c.Line(s.Ends[0], s.Ends[1], r, role, main)
			}
		}
	}
	ring := func(list []grid.Point, full, ascii string, role theme.Role) {
		for i, q := range list {
			c.Line(q, list[(i+1)%len(list)], []rune(m.Sign(full, ascii))[0], role, false)
		}
	}
	ring(p.Still, "·", ",", theme.Free)
	ring(p.Outline, "●", "O", theme.Hoop)
	row, column := 0, 0
	for _, l := range marks() {
		row, column = c.Legend(row, column, m.Sign(string(l.main), string(l.mainA))+" "+l.words+"  ", l.role)
	}
	return c
}

// sign is how a strand is drawn.
func (m Model) sign(s strain.Stroke) (rune, theme.Role) {
	of := marks()
	i := 0
	for i < len(of)-1 && s.Left < of[i].least {
		i++
	}
	main := plan.Strand(s.Name).IsMain()
	switch {
	case main && m.ASCII:
		return of[i].mainA, of[i].role
	case main:
		return of[i].main, of[i].role
	case m.ASCII:
		return of[i].crossA, of[i].role
	}
	return of[i].cross, of[i].role
}
