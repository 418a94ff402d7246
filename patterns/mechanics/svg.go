package mechanics

import (
	"fmt"
	"math"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/harmless"
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
	svgMargin  = 12.0
	svgLegend  = 22.0
	svgDotLow  = 1.2 // radius of the least value
	svgDotHigh = 4.2 // radius of the greatest
)

// SVG writes the drawing as a picture that stands alone. Values show by the size of the dots and by their darkness, and
// each dot names its own, so that nothing hangs on colour. Text is escaped.
func (d Drawing) SVG() string {
	var b strings.Builder
	lo, hi := bounds(d.points())
	w, h := hi.X-lo.X+2*svgMargin, hi.Y-lo.Y+2*svgMargin+svgLegend
	at := func(p grid.Point) (x, y float64) { return p.X - lo.X + svgMargin, hi.Y - p.Y + svgMargin }
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.1f %.1f" width="%.0fmm" height="%.0fmm" font-family="sans-serif" font-size="5">`+"\n", w, h, w, h)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n", harmless.XML(d.Title))
	var outline []string
	for _, p := range d.Outline {
		x, y := at(p)
		outline = append(outline, fmt.Sprintf("%.2f,%.2f", x, y))
	}
	fmt.Fprintf(&b, `<polygon points="%s" fill="none" stroke="#222" stroke-width="2"/>`+"\n", strings.Join(outline, " "))
	for _, s := range d.Strokes {
		x1, y1 := at(s.Ends[0])
		x2, y2 := at(s.Ends[1])
		fmt.Fprintf(&b, `<line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" stroke="#666" stroke-width="0.6"><title>%s</title></line>`+"\n", x1, y1, x2, y2, harmless.XML(s.Name))
	}
	least, most := d.extremes()
	for _, p := range d.Dots {
		x, y := at(p.Point)
		share := d.share(p.Value, least, most)
		grey := int(200 - 170*share)
		fmt.Fprintf(&b, `<circle cx="%.2f" cy="%.2f" r="%.2f" fill="rgb(%d,%d,%d)"><title>%.1f %s</title></circle>`+"\n",
			x, y, svgDotLow+(svgDotHigh-svgDotLow)*share, grey, grey, grey, p.Value, harmless.XML(d.Unit))
	}
	legend := harmless.XML(d.Title)
	if len(d.Dots) > 0 {
		legend += harmless.XML(fmt.Sprintf(": small and light %.1f %s, large and dark %.1f %s", least, d.Unit, most, d.Unit))
	}
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" fill="#222">%s</text>`+"\n</svg>\n", svgMargin, h-svgMargin/2, legend)
	return b.String()
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

func bounds(points []grid.Point) (lo, hi grid.Point) {
	for i, p := range points {
		if i == 0 {
			lo, hi = p, p
		}
		lo = grid.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = grid.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	return lo, hi
}
