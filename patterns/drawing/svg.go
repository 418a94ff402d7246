package drawing

import (
	"fmt"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/harmless"
)

// SVG is the sheet as a picture that stands alone. Text is escaped, and what cannot be seen in it is shown.
func (s *Sheet) SVG() string {
	var b strings.Builder
	size := ""
	if s.MM {
		size = fmt.Sprintf(` width="%smm" height="%smm"`, number(s.W), number(s.H))
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s"%s font-family="Go, 'Liberation Sans', Arial, Helvetica, sans-serif">`+"\n",
		number(s.W), number(s.H), size)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#ffffff\"/>\n", harmless.XML(s.Title))
	for _, m := range s.Marks {
		b.WriteString(m.svg() + "\n")
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// number writes a measure to a hundredth.
func number(v float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.2f", v), "0")
	if s = strings.TrimSuffix(s, "."); s == "-0" {
		return "0"
	}
	return s
}

// String is the colour as "#1d2329".
func (i Ink) String() string { return fmt.Sprintf("#%02x%02x%02x", i[0], i[1], i[2]) }

func path(points []grid.Point) string {
	parts := make([]string, len(points))
	for i, p := range points {
		parts[i] = number(p.X) + "," + number(p.Y)
	}
	return strings.Join(parts, " ")
}

// element ends an element whose tag is open, with its title in it.
func element(tag, name, title string) string {
	if title == "" {
		return tag + "/>"
	}
	return tag + "><title>" + harmless.XML(title) + "</title></" + name + ">"
}

func (s Stroke) svg() string {
	shape, fill, dash := "polyline", "none", ""
	if s.Closed {
		shape = "polygon"
	}
	if s.Blank {
		fill = "#ffffff"
	}
	if s.Dashed {
		dash = ` stroke-dasharray="6 4"`
	}
	return element(fmt.Sprintf(`<%s points="%s" fill="%s" stroke="%s" stroke-width="%s"%s`, shape, path(s.Points), fill, s.Ink, number(s.Width), dash), shape, s.Title)
}

func (d Dot) svg() string {
	return element(fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s" fill="%s"`, number(d.At.X), number(d.At.Y), number(d.Radius), d.Ink), "circle", d.Title)
}

func (w Words) svg() string {
	more := ""
	if w.Bold {
		more = ` font-weight="bold"`
	}
	if w.Anchor != Start && w.Anchor != "" {
		more += fmt.Sprintf(` text-anchor="%s"`, w.Anchor)
	}
	if w.Up {
		more += fmt.Sprintf(` transform="rotate(-90 %s %s)"`, number(w.At.X), number(w.At.Y))
	}
	return fmt.Sprintf(`<text x="%s" y="%s" font-size="%s" fill="%s"%s>%s</text>`,
		number(w.At.X), number(w.At.Y), number(w.Size), w.Ink, more, harmless.XML(w.Text))
}
