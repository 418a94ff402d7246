package controlchart

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"pullcard/patterns/harmless"
)

// Sizes of the picture in its own units, and its colours on white. All text is in ink; what a mark means shows by its
// shape.
const (
	svgWidth, svgHeight = 800.0, 584.0
	svgLeft, svgRight   = 80.0, 70.0
	svgUpperTop         = 60.0
	svgUpperHeight      = 240.0
	svgLowerTop         = 350.0
	svgLowerHeight      = 100.0
	svgLegendTop        = 514.0
	svgFont             = 13.0
	svgRow              = 18.0 // from one line of text to the next
	svgMark             = 3.5  // half the width of a point's mark
	svgInk, svgGrey     = "#222222", "#555555"
)

// panel is one of the two axes of the picture; centre is its middle line.
type panel struct {
	scale
	top, height, centre float64
}

// y leaves a mark's room above the axis and below the top.
func (p panel) y(v float64) float64 { return p.top + 2*svgMark + p.share(v)*(p.height-4*svgMark) }

// SVG draws a chart as a picture that stands alone: the individuals above, the moving ranges below, each with its limits.
// A point that breaks a rule is a diamond with the rules' numbers, any other a dot; a range above its limit is a diamond with J.
// Every mark tells its job, time and value where a viewer shows titles. Text is escaped, control characters are replaced.
// The error is the writer's.
func SVG(w io.Writer, c *Chart, title string) error {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" font-family="sans-serif" font-size="%g" fill="%s">`+"\n", svgWidth, svgHeight, svgFont, svgInk)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#ffffff\"/>\n", harmless.XML(title))
	text(&b, svgLeft, 28, "start", short(title, mostTitle))
	c.upper(&b)
	c.lower(&b)
	const columns = 2
	for i, line := range c.legend() {
		x := svgLeft + float64(i%columns)*(svgWidth-svgLeft)/columns
		text(&b, x, svgLegendTop+svgRow*float64(i/columns), "start", line)
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// jump is the note at a range above its limit.
const jump = "J"

// legend says what the numbers at the marks are and how far the limits can be trusted.
func (c *Chart) legend() []string {
	var out []string
	for _, r := range Rules() {
		if slices.ContainsFunc(c.Broken, func(broken []Rule) bool { return slices.Contains(broken, r) }) {
			out = append(out, fmt.Sprintf("%d: %s", int(r), r))
		}
	}
	if len(out) == 0 {
		out = []string{"no rule is broken"}
	}
	for i := range c.Points {
		if c.Jumped(i) {
			out = append(out, jump+": moving range above its limit")
			break
		}
	}
	if !c.Trusted() {
		out = append(out, fmt.Sprintf("limits from only %d readings", c.From))
	}
	return out
}

// upper draws the individuals.
func (c *Chart) upper(b *strings.Builder) {
	p := panel{c.individuals(), svgUpperTop, svgUpperHeight, c.Centre}
	p.frame(b, "reading / computed")
	p.limit(b, c.Upper, "upper")
	p.limit(b, c.Lower, "lower")
	p.line(b, c.Centre, "centre", "")
	track := make([]string, len(c.Points))
	for i, point := range c.Points {
		track[i] = fmt.Sprintf("%.1f,%.1f", c.x(i), p.y(point.Value))
	}
	trace(b, track)
	for i, point := range c.Points {
		var rules []string
		for _, r := range c.Broken[i] {
			rules = append(rules, fmt.Sprint(int(r)))
		}
		c.mark(b, i, p.y(point.Value), p.format(point.Value), strings.Join(rules, ","))
	}
	c.jobs(b, svgUpperTop+svgUpperHeight+17)
}

// lower draws the moving ranges.
func (c *Chart) lower(b *strings.Builder) {
	p := panel{c.ranges(), svgLowerTop, svgLowerHeight, c.MeanRange}
	p.frame(b, "moving range")
	p.limit(b, c.RangeUpper, "upper")
	p.line(b, c.MeanRange, "mean", "")
	track := make([]string, len(c.Ranges))
	for i, r := range c.Ranges {
		track[i] = fmt.Sprintf("%.1f,%.1f", c.x(i+1), p.y(r))
	}
	trace(b, track)
	for i, r := range c.Ranges {
		note := ""
		if c.Jumped(i + 1) {
			note = jump
		}
		c.mark(b, i+1, p.y(r), p.format(r), note)
	}
	text(b, (svgLeft+svgWidth-svgRight)/2, svgLowerTop+svgLowerHeight+36, "middle", "job, in the order strung")
	c.jobs(b, svgLowerTop+svgLowerHeight+17)
}

// x is where point i stands: the points follow one another evenly, whatever time lay between.
func (c *Chart) x(i int) float64 {
	return svgLeft + 12 + (svgWidth-svgLeft-svgRight-24)*float64(i)/float64(len(c.Points)-1)
}

// mark draws a point: a diamond with its note above it, or a dot where there is none.
func (c *Chart) mark(b *strings.Builder, i int, y float64, value, note string) {
	x, p := c.x(i), c.Points[i]
	name := harmless.XML(fmt.Sprintf("%s, %s: %s", p.name(), p.At.Format("2006-01-02 15:04"), value))
	if note == "" {
		fmt.Fprintf(b, `<circle cx="%.1f" cy="%.1f" r="%g"><title>%s</title></circle>`+"\n", x, y, svgMark-1, name)
		return
	}
	const r = 2 * svgMark
	fmt.Fprintf(b, `<polygon points="%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f" fill="#ffffff" stroke="%s" stroke-width="2"><title>%s</title></polygon>`+"\n",
		x, y-r, x+r, y, x, y+r, x-r, y, svgInk, name)
	// A white rim keeps the note readable on the lines that it lies over.
	fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle" paint-order="stroke" stroke="#ffffff" stroke-width="4">%s</text>`+"\n", x, y-r-4, harmless.XML(note))
}

// How many names of jobs have room below an axis, and how many letters such a name and the title.
const (
	mostLabels = 8
	mostLabel  = 10
	mostTitle  = 95
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
	p.line(b, v, name, ` stroke-dasharray="6 4"`)
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

func trace(b *strings.Builder, track []string) {
	fmt.Fprintf(b, `<polyline points="%s" fill="none" stroke="%s" stroke-width="0.8"/>`+"\n", strings.Join(track, " "), svgGrey)
}

func text(b *strings.Builder, x, y float64, anchor, words string) {
	fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x, y, anchor, harmless.XML(words))
}
