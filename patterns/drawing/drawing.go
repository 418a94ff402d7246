// Package drawing is a picture as marks at places, which is written as SVG, as PDF and as text: tickets, steps, charts and beds.
//
// Add Strokes, Dots and Words to a Sheet; then call its SVG or Text, or PDF with all the pages.
package drawing

import "pullcard/patterns/grid"

// Point is a typographic point in mm, 1/72 in.
const Point = 25.4 / 72

// Sheet is a page. Places and sizes are in its unit, from the upper left corner.
type Sheet struct {
	Title string
	W, H  float64
	// MM says that the unit is a millimetre; else the picture is as large as it is shown, or the unit a character of text.
	MM    bool
	Marks []Mark
}

// Mark is one thing on a sheet: a Stroke, a Dot or Words. Title, where it has one, is told where a viewer shows titles.
type Mark interface {
	svg() string
	pdf(*pages)
	text(cells)
}

// Add puts marks on the sheet, each over those before it.
func (s *Sheet) Add(m ...Mark) { s.Marks = append(s.Marks, m...) }

// Ink is a colour, red, green and blue from 0 to 255. Nothing is told by colour alone.
type Ink [3]int

// The inks of all prints: quiet ones that a printer without colours also tells apart.
func Black() Ink { return Ink{0x1d, 0x23, 0x29} }
func Grey() Ink  { return Ink{0x66, 0x70, 0x79} }
func Pale() Ink  { return Ink{0xc6, 0xcc, 0xd1} }
func Blue() Ink  { return Ink{0x4c, 0x77, 0x8f} }

// Stroke is a line through points.
type Stroke struct {
	Points []grid.Point
	Closed bool
	Width  float64
	Ink    Ink
	Dashed bool
	Blank  bool // white inside
	Title  string
}

// Dot is a filled circle.
type Dot struct {
	At     grid.Point
	Radius float64
	Ink    Ink
	Title  string
}

// Anchor is which part of a line of text stands at its place.
type Anchor string

// The anchors, by SVG's names.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Words are a line of text at a place on its base line.
type Words struct {
	At     grid.Point
	Text   string
	Size   float64 // of the letters, from one line to the next without white between
	Bold   bool
	Ink    Ink
	Anchor Anchor
	Up     bool // read upwards
}

// Line is a straight stroke.
func Line(a, b grid.Point, width float64, i Ink) Stroke {
	return Stroke{Points: []grid.Point{a, b}, Width: width, Ink: i}
}
