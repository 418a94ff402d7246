package ticket

import (
	"math"
	"strings"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
	"pullcard/sequence/report"
)

// pen sets text on a sheet from the top down between two edges.
type pen struct {
	sheet       *drawing.Sheet
	face        face
	left, right float64
	indent      float64 // of the text behind a dot
	y           float64 // the lower edge of what is written
}

// face measures text.
type face interface {
	// width is how wide a line is in the sheet's unit at a size in points.
	width(text string, size float64, bold bool) float64
}

// style is how text is set.
type style struct {
	size    float64 // in points
	bold    bool
	ink     drawing.Ink
	leading float64 // base line to base line in sizes, 1.3 when nought
}

func (s style) step() float64 {
	if s.leading == 0 {
		return s.size * drawing.Point * 1.3
	}
	return s.size * drawing.Point * s.leading
}

func (p *pen) width(text string, s style) float64 { return p.face.width(text, s.size, s.bold) }

// lines breaks text into lines for a width.
func (p *pen) lines(text string, s style, width float64) []string {
	return report.Wrap(text, width, func(t string) float64 { return p.width(t, s) })
}

// put writes a line at a place.
func (p *pen) put(x, y float64, text string, s style, a drawing.Anchor) {
	p.sheet.Add(drawing.Words{At: grid.Point{X: x, Y: y}, Text: plainSpaces(text), Size: s.size * drawing.Point, Bold: s.bold, Ink: s.ink, Anchor: a})
}

// write sets text below what is written, on so many lines at the most.
func (p *pen) write(text string, s style, most int) {
	p.writeAt(p.left, text, s, most)
}

func (p *pen) writeAt(x float64, text string, s style, most int) {
	width := p.right - x
	for _, l := range report.Clip(p.lines(text, s, width), most, width, func(t string) float64 { return p.width(t, s) }) {
		p.y += s.step()
		p.put(x, p.y-descent(s), l, s, drawing.Start)
	}
}

// descent is what a line needs below its base line, and the white that belongs to it.
func descent(s style) float64 { return s.step() - s.size*drawing.Point*0.92 }

// flush sets one line at the right edge, level with the next line that write would set.
func (p *pen) flush(text string, s style) {
	p.put(p.right, p.y+s.size*drawing.Point*0.92, text, s, drawing.End)
}

// row sets a name and beside it, from x on, its value.
func (p *pen) row(r row, x float64, name, value style, most int) {
	top := p.y
	p.put(p.left, top+value.step()-descent(value), r.name, name, drawing.Start)
	p.writeAt(x, r.value, value, most)
	p.y = math.Max(p.y, top+value.step())
}

// rule draws a hairline with white above and below.
func (p *pen) rule(above, below float64) {
	p.y += above
	p.sheet.Add(drawing.Line(grid.Point{X: p.left, Y: p.y}, grid.Point{X: p.right, Y: p.y}, 0.2, drawing.Pale()))
	p.y += below
}

// hang sets text from x on; lines after the first are drawn in.
func (p *pen) hang(x, by float64, text string, s style) {
	text = strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }), " ")
	lines := p.lines(text, s, p.right-x)
	if len(lines) == 0 {
		return
	}
	rest := strings.TrimPrefix(text, lines[0])
	p.y += s.step()
	p.put(x, p.y-descent(s), lines[0], s, drawing.Start)
	p.writeAt(x+by, rest, s, math.MaxInt)
}

func plainSpaces(text string) string { return strings.ReplaceAll(text, string(glue), " ") }
