package controlchart

import (
	"math"
	"strings"
)

// glyphs draw a chart in a terminal; each is one cell wide.
type glyphs struct{ in, out, average, centre, limit, axis, end rune }

func pen(ascii bool) glyphs {
	if ascii {
		return glyphs{in: 'o', out: 'X', average: '+', centre: '-', limit: '.', axis: '|', end: ':'}
	}
	return glyphs{in: '●', out: '◆', average: '+', centre: '─', limit: '┄', axis: '│', end: '┊'}
}

// leastPlot is how many columns the points need for the values at the axis to be shown beside them.
const leastPlot = 8

// Text draws the individuals of a chart and their EWMA for a terminal: height lines of exactly width cells, without colours.
// A point that raises an alarm has another glyph and is never hidden by one that does not, where several share a cell; a
// point hides the EWMA. The values at the left are those of the limits and the centre; an upright line ends the baseline. A
// width or height below 1 gives nothing.
func Text(c *Chart, width, height int, ascii bool) []string {
	if width < 1 || height < 1 {
		return nil
	}
	s, g := c.individuals(), pen(ascii)
	labels := map[int]string{}
	margin := 0
	// The centre is written last: where rows coincide, it is the one to know.
	for _, v := range append(c.lines(), c.centre()) {
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
	column := func(i int) int { return place(float64(i)/float64(len(c.Points)-1), width) }
	for _, v := range c.lines() {
		line(v, g.limit)
	}
	line(c.centre(), g.centre)
	if c.Base != nil && c.First > 0 && c.First < len(c.Points) {
		for _, row := range rows {
			row[column(c.First-1)] = g.end
		}
	}
	for i, z := range c.EWMA {
		rows[place(s.share(z), height)][column(c.First+i)] = g.average
	}
	for i, p := range c.Points {
		cell := &rows[place(s.share(p.Value), height)][column(i)]
		switch {
		case c.Alarms[i].Any():
			*cell = g.out
		case *cell != g.out:
			*cell = g.in
		}
	}
	return rows
}

// lines are the limits, where there are any.
func (c *Chart) lines() []float64 {
	if c.Base == nil {
		return nil
	}
	lower, upper := c.Base.Limits()
	return []float64{upper, lower}
}

// place is the cell of so many at a share of the way.
func place(share float64, cells int) int { return int(math.Round(share * float64(cells-1))) }
