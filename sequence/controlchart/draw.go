package controlchart

import (
	"fmt"
	"math"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
	"pullcard/sequence/report"
)

// Sizes of the picture in its own units, and its colours on white. All text is in ink; what a mark means shows by its
// shape.
const (
	sheetWidth, sheetHeight = 800.0, 830.0
	sheetLeft, sheetRight   = 80.0, 70.0
	upperTop, upperHeight   = 60.0, 220.0
	middleTop, middleHeight = 310.0, 180.0
	lowerTop, lowerHeight   = 520.0, 80.0
	legendTop               = 654.0
	letters                 = 13.0
	rowHeight               = 18.0 // from one line of text to the next
	markSize                = 3.5  // half the width of a point's mark
)

func ink() drawing.Ink  { return drawing.Ink{0x22, 0x22, 0x22} }
func grey() drawing.Ink { return drawing.Ink{0x55, 0x55, 0x55} }

// panel is one of the three axes of the picture; centre is its middle line.
type panel struct {
	scale
	sheet               *drawing.Sheet
	top, height, centre float64
}

// y leaves a mark's room above the axis and below the top.
func (p panel) y(v float64) float64 { return p.top + 2*markSize + p.share(v)*(p.height-4*markSize) }

// Draw draws a chart as a picture that stands alone: the individuals above, their EWMA in the middle, each with its limits,
// and the moving ranges below. A point that raises an alarm is a diamond, any other a dot; an upright line ends the baseline.
// Every mark tells its job, time and value where a viewer shows titles.
func Draw(c *Chart, title string) *drawing.Sheet {
	s := &drawing.Sheet{Title: title, W: sheetWidth, H: sheetHeight}
	text(s, sheetLeft, 28, drawing.Start, short(title, mostTitle))
	c.upper(s)
	c.middle(s)
	c.lower(s)
	row := legendTop
	for _, words := range c.Words() {
		for _, line := range report.Wrap(words, mostLine, report.Characters) {
			text(s, sheetLeft, row, drawing.Start, line)
			row += rowHeight
		}
	}
	return s
}

// upper draws the individuals.
func (c *Chart) upper(s *drawing.Sheet) {
	p := panel{c.individuals(), s, upperTop, upperHeight, c.centre()}
	p.frame("kept of the tension")
	if lines := c.lines(); lines != nil {
		p.limit(lines[0], "upper")
		p.limit(lines[1], "lower")
	}
	p.line(c.centre(), "centre", false)
	c.end(p)
	values := make([]float64, len(c.Points))
	for i, point := range c.Points {
		values[i] = point.Value
	}
	c.series(p, 0, values, func(i int) bool { return c.Alarms[i].Individual })
}

// middle draws the EWMA with its limits, which grow from the start.
func (c *Chart) middle(s *drawing.Sheet) {
	p := panel{c.averages(), s, middleTop, middleHeight, c.centre()}
	p.frame("EWMA")
	p.line(c.centre(), "centre", false)
	c.end(p)
	low, high := make([]float64, len(c.EWMA)), make([]float64, len(c.EWMA))
	for i := range c.EWMA {
		low[i], high[i] = c.EWMALimits(i)
	}
	c.trace(p, c.First, low, true)
	c.trace(p, c.First, high, true)
	c.series(p, c.First, c.EWMA, func(i int) bool { return c.Alarms[i].EWMA })
}

// lower draws the moving ranges.
func (c *Chart) lower(s *drawing.Sheet) {
	p := panel{c.ranges(), s, lowerTop, lowerHeight, 0}
	p.frame("moving range")
	c.end(p)
	c.series(p, 1, c.Ranges, func(int) bool { return false })
	text(s, (sheetLeft+sheetWidth-sheetRight)/2, lowerTop+lowerHeight+36, drawing.Middle, "job, in the order strung")
	c.jobs(s, lowerTop+lowerHeight+17)
}

// series draws a mark for each of some values from a point on, and a line that joins them.
func (c *Chart) series(p panel, from int, values []float64, out func(int) bool) {
	c.trace(p, from, values, false)
	for i, v := range values {
		c.mark(p, from+i, v, out(from+i))
	}
}

// trace joins values from a point on.
func (c *Chart) trace(p panel, from int, values []float64, dashed bool) {
	track := make([]grid.Point, len(values))
	for i, v := range values {
		track[i] = grid.Point{X: c.x(from + i), Y: p.y(v)}
	}
	if len(track) > 0 {
		p.sheet.Add(drawing.Stroke{Points: track, Width: 0.8, Ink: grey(), Dashed: dashed})
	}
}

// end draws the end of the baseline.
func (c *Chart) end(p panel) {
	if c.Base != nil && c.First > 0 && c.First < len(c.Points) {
		x := (c.x(c.First-1) + c.x(c.First)) / 2
		p.stroke(grey(), true, grid.Point{X: x, Y: p.top}, grid.Point{X: x, Y: p.top + p.height})
	}
}

// x is where point i stands: the points follow one another evenly, whatever time lay between.
func (c *Chart) x(i int) float64 {
	return sheetLeft + 12 + (sheetWidth-sheetLeft-sheetRight-24)*float64(i)/float64(len(c.Points)-1)
}

// mark draws a point: a diamond where it raises an alarm, or a dot.
func (c *Chart) mark(p panel, i int, v float64, out bool) {
	x, y, point := c.x(i), p.y(v), c.Points[i]
	name := fmt.Sprintf("%s, %s: %s", point.name(), point.At.Format("2006-01-02 15:04"), p.format(v))
	if !out {
		p.sheet.Add(drawing.Dot{At: grid.Point{X: x, Y: y}, Radius: markSize - 1, Ink: ink(), Title: name})
		return
	}
	const r = 2 * markSize
	p.sheet.Add(drawing.Stroke{Points: []grid.Point{{X: x, Y: y - r}, {X: x + r, Y: y}, {X: x, Y: y + r}, {X: x - r, Y: y}},
		Closed: true, Blank: true, Width: 2, Ink: ink(), Title: name})
}

// How many names of jobs have room below an axis, and how many letters such a name and the title.
const (
	mostLabels = 8
	mostLabel  = 10
	mostTitle  = 95
	mostLine   = 100
)

// jobs writes the names of some jobs below an axis, the first and the last among them.
func (c *Chart) jobs(s *drawing.Sheet, y float64) {
	last := len(c.Points) - 1
	steps := min(last, mostLabels-1)
	for k := range steps + 1 {
		i := k * last / steps
		text(s, c.x(i), y, drawing.Middle, short(c.Points[i].name(), mostLabel))
	}
}

// short cuts words to so many letters.
func short(words string, most int) string {
	if r := []rune(words); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return words
}

func (p panel) stroke(i drawing.Ink, dashed bool, points ...grid.Point) {
	p.sheet.Add(drawing.Stroke{Points: points, Width: 1, Ink: i, Dashed: dashed})
}

func (p panel) frame(name string) {
	bottom := p.top + p.height
	p.stroke(ink(), false, grid.Point{X: sheetLeft, Y: p.top}, grid.Point{X: sheetLeft, Y: bottom}, grid.Point{X: sheetWidth - sheetRight, Y: bottom})
	p.sheet.Add(drawing.Words{At: grid.Point{X: 16, Y: p.top + p.height/2}, Text: name, Size: letters, Ink: ink(), Anchor: drawing.Middle, Up: true})
}

// limit draws a limit, dashed. Its name goes where it lies too close to the centre for both to be read.
func (p panel) limit(v float64, name string) {
	if math.Abs(p.y(v)-p.y(p.centre)) < letters {
		name = ""
	}
	p.line(v, name, true)
}

// line draws a line across the panel, with its value at the left and its name at the right, neither without a name.
func (p panel) line(v float64, name string, dashed bool) {
	y := p.y(v)
	p.stroke(grey(), dashed, grid.Point{X: sheetLeft, Y: y}, grid.Point{X: sheetWidth - sheetRight, Y: y})
	if name != "" {
		text(p.sheet, sheetLeft-6, y+letters/3, drawing.End, p.format(v))
		text(p.sheet, sheetWidth-sheetRight+6, y+letters/3, drawing.Start, name)
	}
}

func text(s *drawing.Sheet, x, y float64, a drawing.Anchor, words string) {
	s.Add(drawing.Words{At: grid.Point{X: x, Y: y}, Text: words, Size: letters, Ink: ink(), Anchor: a})
}
