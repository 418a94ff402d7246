package ticket

import (
	"fmt"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/harmless"
)

// svg writes a sheet as a picture that stands alone.
func (s *sheet) svg() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%smm" height="%smm" font-family="Go, 'Liberation Sans', Arial, Helvetica, sans-serif">`+"\n",
		mm(s.w), mm(s.h), mm(s.w), mm(s.h))
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#ffffff\"/>\n", harmless.XML(s.title))
	for _, m := range s.marks {
		m.svg(&b)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// mm writes millimetres to a hundredth.
func mm(v float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.2f", v), "0")
	if s = strings.TrimSuffix(s, "."); s == "-0" {
		return "0"
	}
	return s
}

func (i ink) String() string { return fmt.Sprintf("#%02x%02x%02x", i[0], i[1], i[2]) }

func path(points []grid.Point) string {
	parts := make([]string, len(points))
	for i, p := range points {
		parts[i] = mm(p.X) + "," + mm(p.Y)
	}
	return strings.Join(parts, " ")
}

func (s stroke) svg(b *strings.Builder) {
	shape := "polyline"
	if s.closed {
		shape = "polygon"
	}
	fmt.Fprintf(b, `<%s points="%s" fill="none" stroke="%s" stroke-width="%s"/>`+"\n", shape, path(s.points), s.ink, mm(s.width))
}

func (d dot) svg(b *strings.Builder) {
	fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s" fill="%s"/>`+"\n", mm(d.at.X), mm(d.at.Y), mm(d.radius), d.ink)
}

func (w words) svg(b *strings.Builder) {
	more := ""
	if w.style.bold {
		more = ` font-weight="bold"`
	}
	if w.anchor != start {
		more += fmt.Sprintf(` text-anchor="%s"`, w.anchor)
	}
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s"%s>%s</text>`+"\n",
		mm(w.at.X), mm(w.at.Y), mm(w.style.size*point), w.style.ink, more, harmless.XML(w.text))
}

func plainSpaces(text string) string { return strings.ReplaceAll(text, string(glue), " ") }
