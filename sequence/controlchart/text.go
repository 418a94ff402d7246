package controlchart

import (
	"math"
	"strings"
)

// glyphs draw a chart in a terminal; each is one cell wide.
type glyphs struct{ in, out, centre, limit, axis rune }

func pen(ascii bool) glyphs {
	if ascii {
		return glyphs{in: 'o', out: 'X', centre: '-', limit: '.', axis: '|'}
	}
	return glyphs{in: '●', out: '◆', centre: '─', limit: '┄', axis: '│'}
}

// leastPlot is how many columns the points need for the values at the axis to be shown beside them.
const leastPlot = 8

// Text draws the individuals of a chart for a terminal: height lines of exactly width cells, without colours. A point that
// breaks a rule has another glyph and is never hidden by one that does not, where several share a cell. The values at the
// left are those of the limits and the centre. A width or height below 1 gives nothing.
func Text(c *Chart, width, height int, ascii bool) []string {
	if width < 1 || height < 1 {
		return nil
	}
	s, g := c.individuals(), pen(ascii)
	labels := map[int]string{}
	margin := 0
	// The centre is written last: where rows coincide, it is the one to know.
	for _, v := range []float64{c.Upper, c.Lower, c.Centre} {
		text := s.format(v)
		labels[place(s.share(v), height)] = text
		margin = max(margin, len(text)+1)
	}
	if width < margin+1+leastPlot {
		margin = -1
	}
	plot := c.plot(s, g, width-margin-1, height)
	out := make([]string, height)
	for i, row := range plot {
		if margin >= 0 {
			label := labels[i]
			out[i] = strings.Repeat(" ", margin-1-len(label)) + label + " " + string(g.axis)
		}
		out[i] += string(row)
	}
	return out
}

// plot is what lies right of the axis.
func (c *Chart) plot(s scale, g glyphs, width, height int) [][]rune {
	rows := make([][]rune, height)
	for i := range rows {
		rows[i] = []rune(strings.Repeat(" ", width))
	}
	line := func(v float64, glyph rune) {
		row := rows[place(s.share(v), height)]
		for x := range row {
			row[x] = glyph
		}
	}
	line(c.Upper, g.limit)
	line(c.Lower, g.limit)
	line(c.Centre, g.centre)
	for i, p := range c.Points {
		cell := &rows[place(s.share(p.Value), height)][place(float64(i)/float64(len(c.Points)-1), width)]
		switch {
		case len(c.Broken[i]) > 0:
			*cell = g.out
		case *cell != g.out:
			*cell = g.in
		}
	}
	return rows
}

// place is the cell of so many at a share of the way.
func place(share float64, cells int) int { return int(math.Round(share * float64(cells-1))) }
