package hoop

import (
	"math"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/sequence/strain"
	"pullcard/tui/theme"
)

// mark is a row of the picture: a character and a role for each cell.
type mark struct {
	runes []rune
	roles []theme.Role
}

func (l mark) width() int { return len(l.runes) }

// render writes a row, cells of one role together.
func (l mark) render(m Model) string {
	var b strings.Builder
	for i := 0; i < len(l.runes); {
		j := i
		for j < len(l.runes) && l.roles[j] == l.roles[i] {
			j++
		}
		b.WriteString(m.Style(l.roles[i], string(l.runes[i:j])))
		i = j
	}
	return b.String()
}

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

// draw is the hoop as it gives when the step is over, head up, in cells twice as high as wide; nil where it does not fit.
func (m Model) draw(columns, rows int) []mark {
	p := m.sheet.Course.Picture(m.step, 0)
	lo, hi := bounds(p)
	height := rows - 2 // the legend
	width := int(math.Round(2 * float64(height) * (hi.X - lo.X) / (hi.Y - lo.Y)))
	if width > columns {
		width = columns
		height = int(float64(width) * (hi.Y - lo.Y) / (hi.X - lo.X) / 2)
	}
	if height < least {
		return nil
	}
	out := make([]mark, height+2)
	for i := range out {
		out[i] = mark{[]rune(strings.Repeat(" ", width)), make([]theme.Role, width)}
	}
	column := func(q grid.Point) int { return int((q.X - lo.X) / (hi.X - lo.X) * float64(width-1) * (1 - 1e-9)) }
	row := func(q grid.Point) int { return int((hi.Y - q.Y) / (hi.Y - lo.Y) * float64(height-1) * (1 - 1e-9)) }
	put := func(q grid.Point, r rune, role theme.Role) {
		out[row(q)].runes[column(q)], out[row(q)].roles[column(q)] = r, role
	}
	for _, main := range []bool{false, true} { // where they cross, mains show in every other row, so that both do
		for _, s := range p.Strokes {
			if s.Name[0] == 'M' != main {
				continue
			}
			r, role := m.sign(s)
			along(s.Ends[0], s.Ends[1], func(q grid.Point) {
				if y := row(q); !main || y%2 == 0 || out[y].runes[column(q)] == ' ' {
					put(q, r, role)
				}
			})
		}
	}
	ring := func(list []grid.Point, r rune, role theme.Role) {
		for i, q := range list {
			along(q, list[(i+1)%len(list)], func(q grid.Point) { put(q, r, role) })
		}
	}
	still, moved := '·', '●'
	if m.ASCII {
		still, moved = ',', 'O'
	}
	ring(p.Still, still, theme.Free)
	ring(p.Outline, moved, theme.Hoop)
	m.legend(out[height:], width)
	return out
}

// sign is how a strand is drawn.
func (m Model) sign(s strain.Stroke) (rune, theme.Role) {
	of := marks()
	i := 0
	for i < len(of)-1 && s.Left < of[i].least {
		i++
	}
	main := s.Name[0] == 'M'
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

// legend says which mark is how much of the pull, in as many of the rows as it takes.
func (m Model) legend(rows []mark, width int) {
	at := 0
	for _, l := range marks() {
		sign := l.main
		if m.ASCII {
			sign = l.mainA
		}
		text := []rune(string(sign) + " " + l.words + "  ")
		if at+len(text) > width && len(rows) > 1 {
			rows, at = rows[1:], 0
		}
		if at+len(text) > width {
			return
		}
		for i, r := range text {
			rows[0].runes[at+i], rows[0].roles[at+i] = r, l.role
		}
		at += len(text)
	}
}

// along goes from a point to another in steps of half a millimetre.
func along(a, b grid.Point, do func(grid.Point)) {
	n := int(a.To(b)*2) + 1
	for i := range n + 1 {
		t := float64(i) / float64(n)
		do(grid.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
	}
}

func bounds(p strain.Picture) (lo, hi grid.Point) {
	lo, hi = p.Still[0], p.Still[0]
	for _, list := range [2][]grid.Point{p.Still, p.Outline} {
		for _, q := range list {
			lo, hi = grid.Point{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}, grid.Point{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		}
	}
	return lo, hi
}
