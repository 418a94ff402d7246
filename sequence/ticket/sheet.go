package ticket

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"pullcard/patterns/grid"
)

// sheet is a page as marks at places in mm, from the upper left corner. SVG and PDF are both written from it.
type sheet struct {
	title string
	w, h  float64
	marks []mark
}

// mark is one thing on a sheet; it writes itself in either form.
type mark interface {
	svg(b *strings.Builder)
	pdf(f *fpdf.Fpdf)
}

func (s *sheet) add(m ...mark) { s.marks = append(s.marks, m...) }

// ink is a colour. Nothing is told by colour alone.
type ink [3]int

// The inks of all prints: quiet ones that a printer without colours also tells apart.
func black() ink { return ink{0x1d, 0x23, 0x29} }
func grey() ink  { return ink{0x66, 0x70, 0x79} }
func pale() ink  { return ink{0xc6, 0xcc, 0xd1} }
func blue() ink  { return ink{0x4c, 0x77, 0x8f} }

// stroke is a line through points.
type stroke struct {
	points []grid.Point
	closed bool
	width  float64
	ink    ink
}

// dot is a filled circle, or a ring when it is hollow.
type dot struct {
	at     grid.Point
	radius float64
	ink    ink
}

// anchor is which part of a line stands at its place.
type anchor string

// The anchors, by SVG's names.
const (
	start  anchor = "start"
	middle anchor = "middle"
	end    anchor = "end"
)

// words are a line of text at a place on its base line.
type words struct {
	at     grid.Point
	text   string
	style  style
	anchor anchor
}

// line is a straight stroke.
func line(a, b grid.Point, width float64, i ink) stroke {
	return stroke{points: []grid.Point{a, b}, width: width, ink: i}
}
