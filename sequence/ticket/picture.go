package ticket

import (
	"math"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/drawing"
	"pullcard/patterns/grid"
	"pullcard/sequence/plan"
)

// picture is a strung bed in mm in the plane of the strings: X to the right, Y towards the head.
type picture struct {
	outline        []grid.Point
	mains, crosses []thread
	knots          []grid.Point
}

// thread is a strand with the places where another lies over it, as shares of its length in their order.
type thread struct {
	ends  [2]grid.Point
	below []float64
}

// outlinePoints is how many corners the hoop has in a picture.
const outlinePoints = 240

// draw makes the picture of a plan's bed when all its steps are done.
func draw(p *plan.Plan, hoop *patterns.Hoop) picture {
	f := frameOf(&p.Terms, hoop)
	at, shape := places(f)
	pic := picture{outline: shape.Outline(outlinePoints)}
	columns := f.Columns()
	for _, m := range columns {
		pic.mains = append(pic.mains, thread{ends: [2]grid.Point{at(m.Ends[0]), at(m.Ends[1])}})
	}
	r := p.After(len(p.Steps))
	for _, c := range f.Crosses {
		pic.crosses = append(pic.crosses, thread{ends: [2]grid.Point{at(c.Ends[0]), at(c.Ends[1])}})
		pic.weave(f, c, r.Span(plan.Strand(c.String())))
	}
	for _, k := range r.Knots() {
		pic.knots = append(pic.knots, at(hole(f, k.Hole)))
	}
	return pic
}

// weave notes where the newest cross goes over and under the mains that it meets, one after the other.
func (pic *picture) weave(f *patterns.Frame, c patterns.Chord, first *plan.Span) {
	met := f.Met(c)
	if hole(f, first.In) == c.Ends[1] {
		slices.Reverse(met)
	}
	cross := &pic.crosses[len(pic.crosses)-1]
	over := first.First == plan.Over
	for _, column := range met {
		main := &pic.mains[column-1]
		ofCross, ofMain := crossing(cross.ends, main.ends)
		if over {
			main.below = append(main.below, ofMain)
		} else {
			cross.below = append(cross.below, ofCross)
		}
		over = !over
	}
	slices.Sort(cross.below)
}

// crossing is where two straight strands cross, as a share of the length of each.
func crossing(a, b [2]grid.Point) (ofA, ofB float64) {
	ax, ay := a[1].X-a[0].X, a[1].Y-a[0].Y
	bx, by := b[1].X-b[0].X, b[1].Y-b[0].Y
	dx, dy := b[0].X-a[0].X, b[0].Y-a[0].Y
	d := ax*by - ay*bx
	if d == 0 {
		return 0, 0
	}
	return (dx*by - dy*bx) / d, (dx*ay - dy*ax) / d
}

// Widths in mm on paper, and the room beside the hoop.
const (
	hoopWidth = 1.7
	// stringShare is how thick a string is as a share of the way to the next one.
	stringShare = 0.21
	// gapShare is how much of the way to the next crossing is left open on either side where another strand lies over.
	gapShare = 0.25
	knotSize = 0.62
)

// onto draws the picture into a box of a sheet, as large as it fits and in the middle.
func (pic picture) onto(s *drawing.Sheet, x, y, w, h float64) {
	lo, hi := grid.Bounds(pic.outline...)
	scale := math.Min((w-2*hoopWidth)/(hi.X-lo.X), (h-2*hoopWidth)/(hi.Y-lo.Y))
	cx, cy := x+w/2, y+h/2
	at := func(p grid.Point) grid.Point {
		return grid.Point{X: cx + (p.X-(lo.X+hi.X)/2)*scale, Y: cy - (p.Y-(lo.Y+hi.Y)/2)*scale}
	}
	thick := stringShare * scale * pic.pitch()
	pic.strands(s, at, pic.crosses, thick, drawing.Blue())
	pic.strands(s, at, pic.mains, thick, drawing.Black())
	rim := make([]grid.Point, len(pic.outline))
	for i, p := range pic.outline {
		rim[i] = at(p)
	}
	s.Add(drawing.Stroke{Points: outwards(rim, hoopWidth/2), Closed: true, Width: hoopWidth, Ink: drawing.Pale()})
	s.Add(drawing.Stroke{Points: rim, Closed: true, Width: 0.25, Ink: drawing.Grey()}, drawing.Stroke{Points: outwards(rim, hoopWidth), Closed: true, Width: 0.25, Ink: drawing.Grey()})
	for _, k := range pic.knots {
		s.Add(drawing.Dot{At: pushed(at(k), grid.Point{X: cx, Y: cy}, hoopWidth/2), Radius: knotSize, Ink: drawing.Black()})
	}
}

// strands draws strands with a gap wherever another lies over them.
func (pic picture) strands(s *drawing.Sheet, at func(grid.Point) grid.Point, threads []thread, thick float64, i drawing.Ink) {
	for _, t := range threads {
		a, b := at(t.ends[0]), at(t.ends[1])
		along := func(share float64) grid.Point {
			return grid.Point{X: a.X + share*(b.X-a.X), Y: a.Y + share*(b.Y-a.Y)}
		}
		gap := pic.pitch() * gapShare / t.ends[0].To(t.ends[1])
		from := 0.0
		for _, below := range t.below {
			if below-gap > from {
				s.Add(drawing.Line(along(from), along(below-gap), thick, i))
			}
			from = below + gap
		}
		if from < 1 {
			s.Add(drawing.Line(along(from), b, thick, i))
		}
	}
}

// pitch is about how far apart strands lie in the middle of the bed.
func (pic picture) pitch() float64 {
	lo, hi := grid.Bounds(pic.outline...)
	return math.Min((hi.X-lo.X)/float64(len(pic.mains)+3), (hi.Y-lo.Y)/float64(len(pic.crosses)+3))
}

// outwards is a ring, run through against the clock on paper, wider by a distance.
func outwards(ring []grid.Point, d float64) []grid.Point {
	out := make([]grid.Point, len(ring))
	for i, p := range ring {
		before, after := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
		dx, dy := after.X-before.X, after.Y-before.Y
		l := math.Hypot(dx, dy)
		out[i] = grid.Point{X: p.X - d*dy/l, Y: p.Y + d*dx/l}
	}
	return out
}

// pushed moves a point away from another.
func pushed(p, from grid.Point, d float64) grid.Point {
	l := math.Max(p.To(from), 1e-9)
	return grid.Point{X: p.X + d*(p.X-from.X)/l, Y: p.Y + d*(p.Y-from.Y)/l}
}
