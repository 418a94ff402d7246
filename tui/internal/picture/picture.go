// Package picture turns a painted frame of the screen into an SVG picture, for the README, the gallery and whoever
// looks at a change of the screens.
//
// Call SVG with what a screen's View returns. Only the tests that keep the pictures use it.
package picture

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/cellbuf"

	"pullcard/patterns/harmless"
)

// A cell in the units of the picture. It is a little wider than a sign of the first font, and every run is set to the
// width of its cells, so that columns line up in any font.
const (
	cellWidth  = 9
	cellHeight = 18
	baseline   = 14
)

// look is how a run of cells is drawn; two cells with the same look go into one run.
type look struct {
	ink, background string // "#rrggbb"
	bold            bool
}

// SVG is a picture of a frame with its colours: 9 × 18 units a cell. Colours other than 24 bit ones come out as the
// terminal library knows them; a frame without colours is light grey on black.
func SVG(frame string) string {
	w, h := lipgloss.Width(frame), lipgloss.Height(frame)
	cells := cellbuf.NewBuffer(w, h)
	cellbuf.SetContent(cells, frame)
	p := painter{cells: cells, names: map[look]string{}}
	p.background = p.mostly()
	for y := range h {
		p.row(y)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="15" xml:space="preserve">`+"\n"+
		"<style>rect{shape-rendering:crispEdges} %s</style>\n"+`<rect width="%d" height="%d" fill="%s"/>`+"\n%s</svg>\n",
		w*cellWidth, h*cellHeight, strings.Join(p.styles, " "), w*cellWidth, h*cellHeight, p.background, p.body.String())
}

// painter writes the rows of a picture.
type painter struct {
	cells      *cellbuf.Buffer
	background string          // what most cells have
	names      map[look]string // the class of each look of text
	styles     []string
	body       strings.Builder
}

// mostly is the background of most cells; it becomes one rectangle behind all.
func (p *painter) mostly() string {
	count, best := map[string]int{}, ""
	for _, line := range p.cells.Lines {
		for _, c := range line {
			g := lookOf(c).background
			if count[g]++; count[g] > count[best] {
				best = g
			}
		}
	}
	return best
}

// row writes the grounds and then the words of a row, each run as far as it goes. Blanks belong to the words around
// them, whatever their own ink.
func (p *painter) row(y int) {
	line := p.cells.Line(y)
	runs(len(line), func(x int) string { return lookOf(line[x]).background }, func(from, to int) {
		if g := lookOf(line[from]).background; g != p.background {
			fmt.Fprintf(&p.body, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`, from*cellWidth, y*cellHeight, (to-from)*cellWidth, cellHeight, g)
		}
	})
	var inks []look
	for x, c := range line {
		l := lookOf(c)
		if blank(c) && solid(c) == 0 && x > 0 && l.background == inks[x-1].background {
			l = inks[x-1]
		}
		inks = append(inks, l)
	}
	p.blocks(y, inks)
	var spans strings.Builder
	runs(len(line), func(x int) look { return inks[x] }, func(from, to int) { p.span(&spans, line, inks[from], from, to) })
	if spans.Len() > 0 {
		fmt.Fprintf(&p.body, `<text y="%d">%s</text>`+"\n", y*cellHeight+baseline, spans.String())
	}
}

// blocks draws whole and half cells, of which the frame and the large figures are made, as rectangles: a font's own
// leave seams between the rows.
func (p *painter) blocks(y int, inks []look) {
	line := p.cells.Line(y)
	type block struct {
		sign rune
		ink  string
	}
	runs(len(line), func(x int) block { return block{solid(line[x]), inks[x].ink} }, func(from, to int) {
		top, height := y*cellHeight, cellHeight/2
		switch solid(line[from]) {
		case 0:
			return
		case '█':
			height = cellHeight
		case '▄':
			top += cellHeight / 2
		}
		fmt.Fprintf(&p.body, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`, from*cellWidth, top, (to-from)*cellWidth, height, inks[from].ink)
	})
}

// span writes the words of a run without the blanks around them.
func (p *painter) span(b *strings.Builder, line cellbuf.Line, l look, from, to int) {
	for from < to && blank(line[from]) {
		from++
	}
	for to > from && blank(line[to-1]) {
		to--
	}
	if from == to {
		return
	}
	var text strings.Builder
	for _, c := range line[from:to] {
		text.WriteString(words(c))
	}
	fmt.Fprintf(b, `<tspan x="%d" textLength="%d" class="%s">`, from*cellWidth, (to-from)*cellWidth, p.class(l))
	b.WriteString(harmless.XML(text.String()))
	b.WriteString("</tspan>")
}

// class is the name of a look of text.
func (p *painter) class(l look) string {
	l.background = "" // that is a rectangle
	name, ok := p.names[l]
	if !ok {
		name = fmt.Sprintf("s%d", len(p.names))
		p.names[l] = name
		style := "fill:" + l.ink
		if l.bold {
			style += ";font-weight:bold"
		}
		p.styles = append(p.styles, fmt.Sprintf(".%s{%s}", name, style))
	}
	return name
}

// runs finds the cells beside each other that are alike.
func runs[T comparable](n int, of func(x int) T, do func(from, to int)) {
	for from := 0; from < n; {
		to := from + 1
		for to < n && of(to) == of(from) {
			to++
		}
		do(from, to)
		from = to
	}
}

// lookOf is how a cell is drawn. A cell that nothing was written into is nil.
func lookOf(c *cellbuf.Cell) look {
	const ink, background = "#dddddd", "#000000"
	if c == nil {
		return look{ink: ink, background: background}
	}
	l := look{hex(c.Style.Fg, ink), hex(c.Style.Bg, background), c.Style.Attrs.Contains(cellbuf.BoldAttr)}
	if c.Style.Attrs.Contains(cellbuf.ReverseAttr) { // the cursor in a line of text
		l.ink, l.background = l.background, l.ink
	}
	return l
}

func hex(c color.Color, none string) string {
	if c == nil {
		return none
	}
	r, g, b, _ := c.RGBA() // 16 bit each
	return fmt.Sprintf("#%02x%02x%02x", r>>8, g>>8, b>>8)
}

// words is what a cell says; of a wide sign the first cell says it all.
func words(c *cellbuf.Cell) string {
	switch {
	case c == nil, solid(c) != 0:
		return " "
	case c.Width == 0:
		return ""
	}
	return string(c.Rune) + string(c.Comb)
}

// blank says whether nothing of a cell is written as text.
func blank(c *cellbuf.Cell) bool { return words(c) == " " }

// solid is the block that a cell is, 0 for any other sign.
func solid(c *cellbuf.Cell) rune {
	if c != nil && strings.ContainsRune("█▀▄", c.Rune) {
		return c.Rune
	}
	return 0
}
