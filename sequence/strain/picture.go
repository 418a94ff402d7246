package strain

import (
	"fmt"
	"math"
	"strings"

	"pullcard/patterns/grid"
	"pullcard/patterns/harmless"
)

// Picture is a strung hoop as it gives when a step is over, as plain data in mm: what moved is drawn Factor times as far.
type Picture struct {
	Title string
	// Still is the hoop unstrung, Outline the hoop as it gives; both close by themselves.
	Still, Outline []grid.Point
	Strokes        []Stroke
	Factor         float64
	// Most is the largest tension in the picture, in newtons.
	Most float64
}

// Stroke is a strand that is tight, between its ends as they moved, with its tension in newtons.
type Stroke struct {
	Name    string
	Ends    [2]grid.Point
	Newtons float64
	// Left is its tension as a share of what it was pulled to at last; 1 for all of it.
	Left float64
}

// Picture draws the hoop when step n, from 1, is over; factor 0 takes the one that shows most.
func (c *Course) Picture(n int, factor float64) Picture {
	m, at := c.Model, c.At[n-1]
	p := Picture{Title: fmt.Sprintf("%s, step %d: %s", c.Plan.Frame, n, c.Plan.Steps[n-1].Title), Factor: factor}
	if factor == 0 {
		p.Factor = c.factor()
	}
	moved := map[int]grid.Point{}
	for i, node := range m.hoop.Named {
		x, y := m.moved(i, at.load)
		q := m.hoop.Nodes[node]
		p.Still = append(p.Still, q)
		moved[node] = grid.Point{X: q.X + p.Factor*x, Y: q.Y + p.Factor*y}
		p.Outline = append(p.Outline, moved[node])
	}
	for i := range m.cords {
		s := Stroke{Name: m.cords[i].name, Newtons: at.Newtons[i]}
		if s.Newtons == 0 {
			continue
		}
		for e, hole := range m.chord(i).Ends {
			node, _ := m.hoop.Hole(hole)
			s.Ends[e] = moved[node]
		}
		s.Left = s.Newtons / c.Strands[i].Pulled
		p.Most = math.Max(p.Most, s.Newtons)
		p.Strokes = append(p.Strokes, s)
	}
	return p
}

// factor is the largest that moves nothing by more than a tenth of the hoop's width, the same for all steps of a course, so that they
// can be compared.
func (c *Course) factor() float64 {
	best := 1.0
	for _, f := range []float64{2, 5, 10, 20, 50, 100} {
		if f*c.MostMM < c.Model.Grid.Frame.Hoop.WidthMM/10 {
			best = f
		}
	}
	return best
}

// Margins and sizes of the picture in mm.
const (
	svgMargin = 18.0
	svgLegend = 24.0
)

// shade is the colour of a strand by what is left of its pull: from blue, less than half, over grey to red, more than it was pulled to;
// each strand names its own figure, and the tighter the thicker it is, so that nothing hangs on colour.
func shade(left float64) string {
	t := math.Max(0, math.Min(1, (left-.5)/.6))
	return fmt.Sprintf("rgb(%d,%d,%d)", int(30+190*t), int(90-40*math.Abs(2*t-1)), int(210-180*t))
}

// SVG writes the picture so that it stands alone. Text is escaped.
func (p Picture) SVG() string {
	lo, hi := p.Still[0], p.Still[0]
	for _, list := range [2][]grid.Point{p.Still, p.Outline} {
		for _, q := range list {
			lo, hi = grid.Point{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}, grid.Point{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		}
	}
	w, h := hi.X-lo.X+2*svgMargin, hi.Y-lo.Y+2*svgMargin+svgLegend
	at := func(q grid.Point) (x, y float64) { return q.X - lo.X + svgMargin, hi.Y - q.Y + svgMargin }
	ring := func(list []grid.Point, style string) string {
		var points []string
		for _, q := range list {
			x, y := at(q)
			points = append(points, fmt.Sprintf("%.2f,%.2f", x, y))
		}
		return fmt.Sprintf("<polygon points=\"%s\" fill=\"none\" %s/>\n", strings.Join(points, " "), style)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.1f %.1f\" width=\"%.0fmm\" height=\"%.0fmm\" font-family=\"sans-serif\" font-size=\"5\">\n", w, h, w, h)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n", harmless.XML(p.Title))
	b.WriteString(ring(p.Still, `stroke="#888" stroke-width="0.8" stroke-dasharray="4 3"`))
	for _, s := range p.Strokes {
		x1, y1 := at(s.Ends[0])
		x2, y2 := at(s.Ends[1])
		fmt.Fprintf(&b, "<line x1=\"%.2f\" y1=\"%.2f\" x2=\"%.2f\" y2=\"%.2f\" stroke=\"%s\" stroke-width=\"%.2f\"><title>%s</title></line>\n",
			x1, y1, x2, y2, shade(s.Left), .4+1.6*s.Newtons/p.Most, harmless.XML(fmt.Sprintf("%s: %.0f N, %.0f %% of its pull", s.Name, s.Newtons, 100*s.Left)))
	}
	b.WriteString(ring(p.Outline, `stroke="#111" stroke-width="2"`))
	for _, s := range p.Strokes { // beside the end that lies at the head or on the left
		q, away := s.Ends[0], s.Ends[0].To(s.Ends[1])
		x, y := at(grid.Point{X: q.X + 7*(q.X-s.Ends[1].X)/away, Y: q.Y + 7*(q.Y-s.Ends[1].Y)/away})
		fmt.Fprintf(&b, "<text x=\"%.2f\" y=\"%.2f\" font-size=\"3\" text-anchor=\"middle\" fill=\"#222\">%.0f</text>\n", x, y+1, s.Newtons)
	}
	for i, text := range []string{p.Title, fmt.Sprintf("hoop drawn %g times as far as it moves, dashed: unstrung; figures in N; thick: tight, red: all of its pull left, blue: half", p.Factor)} {
		size := 5 - 1.6*float64(i)
		fmt.Fprintf(&b, "<text x=\"%.1f\" y=\"%.1f\" font-size=\"%.1f\" fill=\"#222\">%s</text>\n", svgMargin, h-svgLegend+7*float64(i+1), size, harmless.XML(text))
	}
	b.WriteString("</svg>\n")
	return b.String()
}
