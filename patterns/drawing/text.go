package drawing

import (
	"math"
	"strings"

	"pullcard/patterns/harmless"
)

// cells are a sheet whose unit is a character, row by row.
type cells [][]rune

// Text is a sheet whose unit is a character as lines of them, for a printer that knows nothing else: words stand in the row that holds their
// base line, what cannot be seen in them shown, a level stroke is a row of dashes and a dot is one dash. What stands off the sheet and a stroke that is not level are left away.
func (s *Sheet) Text() string {
	c := make(cells, int(math.Round(s.H)))
	for i := range c {
		c[i] = []rune(strings.Repeat(" ", int(s.W)))
	}
	for _, m := range s.Marks {
		m.text(c)
	}
	var b strings.Builder
	for _, row := range c {
		b.WriteString(strings.TrimRight(string(row), " ") + "\n")
	}
	return b.String()
}

// put writes characters into the row above a base line, from a column on.
func (c cells) put(x, y float64, text ...rune) {
	if row := int(math.Ceil(y)) - 1; row >= 0 && row < len(c) {
		copy(c[row][min(max(int(x), 0), len(c[row])):], text)
	}
}

func (s Stroke) text(c cells) {
	if from, to := s.Points[0], s.Points[len(s.Points)-1]; from.Y == to.Y && from.X < to.X {
		c.put(from.X, from.Y, []rune(strings.Repeat("-", int(to.X-from.X)))...)
	}
}

func (d Dot) text(c cells) { c.put(d.At.X, d.At.Y, '-') }

func (w Words) text(c cells) {
	text := []rune(harmless.Text(w.Text))
	back := map[Anchor]float64{Middle: 0.5, End: 1}[w.Anchor]
	c.put(w.At.X-back*float64(len(text)), w.At.Y, text...)
}
