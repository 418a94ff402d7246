package controlchart

import (
	"fmt"
	"io"
	"math"
	"strings"

	"pullcard/patterns/harmless"
)

// Sizes of the picture in its own units, and its colours on white. All text is in ink; what a mark means shows by its
// shape.
const (
	svgWidth, svgHeight = 800.0, 830.0
	svgLeft, svgRight   = 80.0, 70.0
	svgUpperTop         = 60.0
	svgUpperHeight      = 220.0
	svgMiddleTop        = 310.0
	svgMiddleHeight     = 180.0
	svgLowerTop         = 520.0
	svgLowerHeight      = 80.0
	svgLegendTop        = 654.0
	svgFont             = 13.0
	svgRow              = 18.0 // from one line of text to the next
	svgMark             = 3.5  // half the width of a point's mark
	svgInk, svgGrey     = "#222222", "#555555"
	svgDash             = ` stroke-dasharray="6 4"`
)

// panel is one of the three axes of the picture; centre is its middle line.
type panel struct {
	scale
	top, height, centre float64
}

// y leaves a mark's room above the axis and below the top.
func (p panel) y(v float64) float64 { return p.top + 2*svgMark + p.share(v)*(p.height-4*svgMark) }

// SVG draws a chart as a picture that stands alone: the individuals above, their EWMA in the middle, each with its limits, and
// the moving ranges below. A point that raises an alarm is a diamond, any other a dot; an upright line ends the baseline.
// Every mark tells its job, time and value where a viewer shows titles. Text is escaped, control characters are replaced.
// The error is the writer's.
func SVG(w io.Writer, c *Chart, title string) error {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" font-family="sans-serif" font-size="%g" fill="%s">`+"\n", svgWidth, svgHeight, svgFont, svgInk)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#ffffff\"/>\n", harmless.XML(title))
	text(&b, svgLeft, 28, "start", short(title, mostTitle))
	c.upper(&b)
	c.middle(&b)
	c.lower(&b)
	row := svgLegendTop
	for _, words := range c.Words() {
		for _, line := range wrap(words, mostLine) {
			text(&b, svgLeft, row, "start", line)
			row += svgRow
		}
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// upper draws the individuals.
func (c *Chart) upper(b *strings.Builder) {
	p := panel{c.individuals(), svgUpperTop, svgUpperHeight, c.centre()}
	p.frame(b, "kept of the tension")
	if lines := c.lines(); lines != nil {
		p.limit(b, lines[0], "upper")
		p.limit(b, lines[1], "lower")
	}
	p.line(b, c.centre(), "centre", "")
	c.end(b, p)
	values := make([]float64, len(c.Points))
	for i, point := range c.Points {
		values[i] = point.Value
	}
	c.series(b, p, 0, values, func(i int) bool { return c.Alarms[i].Individual })
}

// middle draws the EWMA with its limits, which grow from the start.
func (c *Chart) middle(b *strings.Builder) {
	p := panel{c.averages(), svgMiddleTop, svgMiddleHeight, c.centre()}
	p.frame(b, "EWMA")
	p.line(b, c.centre(), "centre", "")
	c.end(b, p)
	low, high := make([]string, len(c.EWMA)), make([]string, len(c.EWMA))
	for i := range c.EWMA {
		l, h := c.EWMALimits(i)
		low[i], high[i] = fmt.Sprintf("%.1f,%.1f", c.x(c.First+i), p.y(l)), fmt.Sprintf("%.1f,%.1f", c.x(c.First+i), p.y(h))
	}
	trace(b, low, svgDash)
	trace(b, high, svgDash)
	c.series(b, p, c.First, c.EWMA, func(i int) bool { return c.Alarms[i].EWMA })
}

// lower draws the moving ranges.
func (c *Chart) lower(b *strings.Builder) {
	p := panel{c.ranges(), svgLowerTop, svgLowerHeight, 0}
	p.frame(b, "moving range")
	c.end(b, p)
	c.series(b, p, 1, c.Ranges, func(int) bool { return false })
	text(b, (svgLeft+svgWidth-svgRight)/2, svgLowerTop+svgLowerHeight+36, "middle", "job, in the order strung")
	c.jobs(b, svgLowerTop+svgLowerHeight+17)
}

// series draws a mark for each of some values from a point on, and a line that joins them.
func (c *Chart) series(b *strings.Builder, p panel, from int, values []float64, out func(int) bool) {
	track := make([]string, len(values))
	for i, v := range values {
		track[i] = fmt.Sprintf("%.1f,%.1f", c.x(from+i), p.y(v))
	}
	trace(b, track, "")
	for i, v := range values {
		c.mark(b, from+i, p.y(v), p.format(v), out(from+i))
	}
}

// end draws the end of the baseline.
func (c *Chart) end(b *strings.Builder, p panel) {
	if c.Base != nil && c.First > 0 && c.First < len(c.Points) {
		fmt.Fprintf(b, `<path d="M%.1f %g V%g" fill="none" stroke="%s"%s/>`+"\n", (c.x(c.First-1)+c.x(c.First))/2, p.top, p.top+p.height, svgGrey, svgDash)
	}
}

// x is where point i stands: the points follow one another evenly, whatever time lay between.
func (c *Chart) x(i int) float64 {
	return svgLeft + 12 + (svgWidth-svgLeft-svgRight-24)*float64(i)/float64(len(c.Points)-1)
}

// mark draws a point: a diamond where it raises an alarm, or a dot.
func (c *Chart) mark(b *strings.Builder, i int, y float64, value string, out bool) {
	x, p := c.x(i), c.Points[i]
	name := harmless.XML(fmt.Sprintf("%s, %s: %s", p.name(), p.At.Format("2006-01-02 15:04"), value))
	if !out {
		fmt.Fprintf(b, `<circle cx="%.1f" cy="%.1f" r="%g"><title>%s</title></circle>`+"\n", x, y, svgMark-1, name)
		return
	}
	const r = 2 * svgMark
	fmt.Fprintf(b, `<polygon points="%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f" fill="#ffffff" stroke="%s" stroke-width="2"><title>%s</title></polygon>`+"\n",
		x, y-r, x+r, y, x, y+r, x-r, y, svgInk, name)
}

// How many names of jobs have room below an axis, and how many letters such a name and the title.
const (
	mostLabels = 8
	mostLabel  = 10
	mostTitle  = 95
	mostLine   = 100
)

// jobs writes the names of some jobs below an axis, the first and the last among them.
func (c *Chart) jobs(b *strings.Builder, y float64) {
	last := len(c.Points) - 1
	steps := min(last, mostLabels-1)
	for k := range steps + 1 {
		i := k * last / steps
		text(b, c.x(i), y, "middle", short(c.Points[i].name(), mostLabel))
	}
}

// wrap breaks words between them into lines of so many letters.
func wrap(words string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(words) {
		if line != "" && len([]rune(line+" "+word)) > most {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(lines, line)
}

// short cuts words to so many letters.
func short(words string, most int) string {
	if r := []rune(words); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return words
}

func (p panel) frame(b *strings.Builder, name string) {
	fmt.Fprintf(b, `<path d="M%g %g V%g H%g" fill="none" stroke="%s"/>`+"\n", svgLeft, p.top, p.top+p.height, svgWidth-svgRight, svgInk)
	const x = 16.0
	y := p.top + p.height/2
	fmt.Fprintf(b, `<text x="%g" y="%g" text-anchor="middle" transform="rotate(-90 %g %g)">%s</text>`+"\n", x, y, x, y, harmless.XML(name))
}

// limit draws a limit, dashed. Its name goes where it lies too close to the centre for both to be read.
func (p panel) limit(b *strings.Builder, v float64, name string) {
	if math.Abs(p.y(v)-p.y(p.centre)) < svgFont {
		name = ""
	}
	p.line(b, v, name, svgDash)
}

// line draws a line across the panel, with its value at the left and its name at the right, neither without a name.
func (p panel) line(b *strings.Builder, v float64, name, dash string) {
	y := p.y(v)
	fmt.Fprintf(b, `<path d="M%g %.1f H%g" fill="none" stroke="%s"%s/>`+"\n", svgLeft, y, svgWidth-svgRight, svgGrey, dash)
	if name != "" {
		text(b, svgLeft-6, y+svgFont/3, "end", p.format(v))
		text(b, svgWidth-svgRight+6, y+svgFont/3, "start", name)
	}
}

func trace(b *strings.Builder, track []string, dash string) {
	fmt.Fprintf(b, `<polyline points="%s" fill="none" stroke="%s" stroke-width="0.8"%s/>`+"\n", strings.Join(track, " "), svgGrey, dash)
}

func text(b *strings.Builder, x, y float64, anchor, words string) {
	fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x, y, anchor, harmless.XML(words))
}
