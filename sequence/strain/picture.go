package strain

import (
	"fmt"
	"math"
	"slices"

	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
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
	moved, moves := map[int]grid.Point{}, m.under(at.load, m.moves)
	for i, node := range m.hoop.Named {
		x, y := moves[2*i], moves[2*i+1]
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
	margin = 18.0
	legend = 24.0
)

// shade is the colour of a strand by what is left of its pull: from blue, less than half, over grey to red, more than it was pulled to;
// each strand names its own figure, and the tighter the thicker it is, so that nothing hangs on colour.
func shade(left float64) drawing.Ink {
	t := math.Max(0, math.Min(1, (left-.5)/.6))
	return drawing.Ink{int(30 + 190*t), int(90 - 40*math.Abs(2*t-1)), int(210 - 180*t)}
}

// Bounds are the corners of the box around the hoop, still and moved.
func (p Picture) Bounds() (lo, hi grid.Point) {
	return grid.Bounds(slices.Concat(p.Still, p.Outline)...)
}

// Sheet draws the picture so that it stands alone.
func (p Picture) Sheet() *drawing.Sheet {
	lo, hi := p.Bounds()
	s := &drawing.Sheet{Title: p.Title, MM: true, W: hi.X - lo.X + 2*margin, H: hi.Y - lo.Y + 2*margin + legend}
	at := func(list ...grid.Point) []grid.Point {
		out := make([]grid.Point, len(list))
		for i, q := range list {
			out[i] = grid.Point{X: q.X - lo.X + margin, Y: hi.Y - q.Y + margin}
		}
		return out
	}
	ink := drawing.Black()
	s.Add(drawing.Stroke{Points: at(p.Still...), Closed: true, Width: .8, Ink: drawing.Grey(), Dashed: true})
	for _, t := range p.Strokes {
		s.Add(drawing.Stroke{Points: at(t.Ends[:]...), Width: .4 + 1.6*t.Newtons/p.Most, Ink: shade(t.Left),
			Title: fmt.Sprintf("%s: %.0f N, %.0f %% of its pull", t.Name, t.Newtons, 100*t.Left)})
	}
	s.Add(drawing.Stroke{Points: at(p.Outline...), Closed: true, Width: 2, Ink: ink})
	for _, t := range p.Strokes { // beside the end that lies at the head or on the left
		q, away := t.Ends[0], t.Ends[0].To(t.Ends[1])
		beside := at(grid.Point{X: q.X + 7*(q.X-t.Ends[1].X)/away, Y: q.Y + 7*(q.Y-t.Ends[1].Y)/away - 1})[0]
		s.Add(drawing.Words{At: beside, Text: fmt.Sprintf("%.0f", t.Newtons), Size: 3, Ink: ink, Anchor: drawing.Middle})
	}
	words := fmt.Sprintf("hoop drawn %g times as far as it moves, dashed: unstrung; figures in N; thick: tight, red: all of its pull left, blue: half", p.Factor)
	s.Add(drawing.Words{At: grid.Point{X: margin, Y: s.H - legend + 7}, Text: p.Title, Size: 5, Ink: ink},
		drawing.Words{At: grid.Point{X: margin, Y: s.H - legend + 14}, Text: words, Size: 3.4, Ink: ink})
	return s
}
