package mechanics

import (
	"fmt"
	"math"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
)

// Drawing is a picture of a bed as plain data, in mm on the plane of the strings.
type Drawing struct {
	Title string
	// Outline is the hoop, closed by itself.
	Outline []grid.Point
	Strokes []Stroke
	Dots    []Dot
	// Unit is that of the dots' values, such as "N/mm".
	Unit string
}

// Stroke is a strand with its name.
type Stroke struct {
	Name string
	Ends [2]grid.Point
}

// Dot is a value at a place.
type Dot struct {
	grid.Point
	Value float64
}

// Picture draws a grid and the stiffness of each crossing.
func Picture(g *grid.Grid, n *Net) Drawing {
	d := Drawing{Title: g.Frame.Name, Outline: g.Shape.Outline(180), Unit: "N/mm"}
	for _, l := range append(append([]grid.Line(nil), g.Columns...), g.Rows...) {
		d.Strokes = append(d.Strokes, Stroke{l.Strand.String(), l.Ends})
	}
	stiffness := n.Map()
	for i, node := range n.nodes {
		d.Dots = append(d.Dots, Dot{node.Point, float64(stiffness[i])})
	}
	return d
}

// Margins and sizes of the picture in mm.
const (
	margin  = 12.0
	legend  = 22.0
	letters = 5.0
	dotLow  = 1.2 // radius of the least value
	dotHigh = 4.2 // radius of the greatest
)

// Sheet draws the picture so that it stands alone. Values show by the size of the dots and by their darkness, and each dot
// names its own, so that nothing hangs on colour.
func (d Drawing) Sheet() *drawing.Sheet {
	lo, hi := grid.Bounds(d.points()...)
	s := &drawing.Sheet{Title: d.Title, MM: true, W: hi.X - lo.X + 2*margin, H: hi.Y - lo.Y + 2*margin + legend}
	at := func(p grid.Point) grid.Point { return grid.Point{X: p.X - lo.X + margin, Y: hi.Y - p.Y + margin} }
	ink, grey := drawing.Ink{0x22, 0x22, 0x22}, drawing.Ink{0x66, 0x66, 0x66}
	var outline []grid.Point
	for _, p := range d.Outline {
		outline = append(outline, at(p))
	}
	if len(outline) > 0 {
		s.Add(drawing.Stroke{Points: outline, Closed: true, Width: 2, Ink: ink})
	}
	for _, l := range d.Strokes {
		s.Add(drawing.Stroke{Points: []grid.Point{at(l.Ends[0]), at(l.Ends[1])}, Width: 0.6, Ink: grey, Title: l.Name})
	}
	least, most := d.extremes()
	for _, p := range d.Dots {
		share := d.share(p.Value, least, most)
		dark := int(200 - 170*share)
		s.Add(drawing.Dot{At: at(p.Point), Radius: dotLow + (dotHigh-dotLow)*share, Ink: drawing.Ink{dark, dark, dark}, Title: fmt.Sprintf("%.1f %s", p.Value, d.Unit)})
	}
	words := d.Title
	if len(d.Dots) > 0 {
		words += fmt.Sprintf(": small and light %.1f %s, large and dark %.1f %s", least, d.Unit, most, d.Unit)
	}
	s.Add(drawing.Words{At: grid.Point{X: margin, Y: s.H - margin/2}, Text: words, Size: letters, Ink: ink})
	return s
}

func (d Drawing) points() []grid.Point {
	all := append([]grid.Point(nil), d.Outline...)
	for _, s := range d.Strokes {
		all = append(all, s.Ends[:]...)
	}
	for _, p := range d.Dots {
		all = append(all, p.Point)
	}
	return all
}

func (d Drawing) extremes() (least, most float64) {
	for i, p := range d.Dots {
		if i == 0 || p.Value < least {
			least = p.Value
		}
		if i == 0 || p.Value > most {
			most = p.Value
		}
	}
	return least, most
}

// share is where a value lies between the least and the most, by ratios: at the hoop a bed is many times stiffer than
// in the middle, which would otherwise look all alike.
func (d Drawing) share(v, least, most float64) float64 {
	if most <= least {
		return 0
	}
	if least <= 0 {
		return (v - least) / (most - least)
	}
	return math.Log(v/least) / math.Log(most/least)
}
