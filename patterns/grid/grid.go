// Package grid says where the strings of a frame lie: the pitch of mains and crosses, the places of the holes round
// the hoop, the length of every span and of the string that a piece takes.
//
// Call New with a frame whose layout gives a hoop; then ask the Grid for spans and Cut for lengths.
package grid

import (
	"errors"
	"math"

	"pullcard/patterns"
)

// Measured is what was measured with a tape and wins over what is worked out.
type Measured = patterns.Measured

// Grid is where the strings of a frame lie.
type Grid struct {
	Frame *patterns.Frame
	Shape *Shape
	// MainPitchMM and CrossPitchMM are the distances of neighbouring mains and of neighbouring crosses in the middle third.
	MainPitchMM, CrossPitchMM float64
	// Middle is the middle of the pattern seen from the middle of the hoop.
	Middle Point
	// Columns are the mains from left to right, Rows the crosses from the head down.
	Columns, Rows []Line
	// SpreadMain and SpreadCross are by how much, as a share, the outermost strands lie farther out than the same distances all
	// the way would have them; nought unless a pitch was measured in the middle.
	SpreadMain, SpreadCross float64
	// Departures are the ends that lie off that grid, none where it is kept strictly.
	Departures []Departure

	holes    map[patterns.Hole]Point
	measured map[patterns.Hole]bool
	pitches  Measured // what was given
	along    map[patterns.Hole]float64
}

// Line is a strand stretched between the points of its two holes: a main's at head and throat, a cross's left and right.
type Line struct {
	patterns.Strand
	Ends [2]Point
}

// MM is the strand's length inside the hoop.
func (l Line) MM() float64 { return l.Ends[0].To(l.Ends[1]) }

// Departure says that a strand's hole lies off its place in the even grid.
type Departure struct {
	Strand patterns.Strand
	Hole   patterns.Hole
	// MM is how far, outwards from the middle of the pattern.
	MM float64
	// Pitches is the same as a share of the pitch.
	Pitches float64
}

// New lays the most even grid whose hole order round the hoop is the layout's; where a measured pitch cannot go on to the hoop
// strands spread towards it. It fails when the layout gives no hoop
// or when its order is impossible on it: the error then names the holes that collide, one pair a line.
func New(f *patterns.Frame, m Measured) (*Grid, error) {
	if f.Hoop == nil {
		return nil, errors.New("the layout gives no hoop; add [hoop] with length and width")
	}
	if len(f.Columns()) == 0 || len(f.Crosses) == 0 {
		return nil, errors.New("a bed without mains or without crosses has no grid")
	}
	shape, err := NewShape(*f.Hoop)
	if err != nil {
		return nil, err
	}
	g, err := newFit(f, shape, m).lay(f, false)
	if err == nil || len(m.Along) == 0 && m.MainPitchMM <= 0 && m.CrossPitchMM <= 0 {
		return g, err
	}
	// What was measured in the middle may not go on to the hoop.
	if spread, wrong := newFit(f, shape, m).lay(f, true); wrong == nil {
		return spread, nil
	}
	return nil, err
}

// lay finds the best pose and checks it.
func (t *fit) lay(f *patterns.Frame, spreading bool) (*Grid, error) {
	if err := t.solve(spreading); err != nil {
		return nil, err
	}
	g := t.grid(f)
	return g, g.check(t)
}

// grid takes the best pose over.
func (t *fit) grid(f *patterns.Frame) *Grid {
	g := &Grid{Frame: f, Shape: t.shape, MainPitchMM: t.pose.main, CrossPitchMM: t.pose.cross, Middle: t.middle(),
		SpreadMain: (1+t.pose.spreadMain)/(1+t.pose.spreadMain/27) - 1, SpreadCross: (1+t.pose.spreadCross)/(1+t.pose.spreadCross/27) - 1,
		measured: map[patterns.Hole]bool{}, pitches: t.measured,
		holes: make(map[patterns.Hole]Point, f.Total()), along: make(map[patterns.Hole]float64, f.Total())}
	put := func(h patterns.Hole, along float64) { g.along[h], g.holes[h] = along, g.Shape.at(along) }
	for i, s := range t.chain.slots {
		put(s.hole, t.place[i])
		g.measured[s.hole] = s.fixed
		if t.chain.mirror {
			right := patterns.Hole{Side: patterns.Right, N: s.hole.N}
			put(right, -t.place[i])
			g.measured[right] = s.fixed
		}
	}
	line := func(c patterns.Chord) Line {
		return Line{c.Strand, [2]Point{g.holes[c.Ends[0]], g.holes[c.Ends[1]]}}
	}
	for i, m := range f.Columns() {
		g.Columns = append(g.Columns, line(m))
		g.depart(m, t.columnAt(t.pose, i))
	}
	for i, c := range f.Crosses {
		g.Rows = append(g.Rows, line(c))
		g.depart(c, t.rowAt(t.pose, i))
	}
	return g
}

func (t *fit) middle() Point {
	c := t.columns
	return Point{t.pose.x + t.pose.main*(c[0]+c[len(c)-1])/2, t.pose.y}
}

// depart notes by how much the holes of a strand lie off its place in the even grid.
func (g *Grid) depart(c patterns.Chord, place float64) {
	pitch, out := g.MainPitchMM, place-g.Middle.X
	if c.Kind == patterns.Cross {
		pitch, out = g.CrossPitchMM, place-g.Middle.Y
	}
	for _, h := range c.Ends {
		mm := g.holes[h].X - place
		if c.Kind == patterns.Cross {
			mm = g.holes[h].Y - place
		}
		if out < 0 {
			mm = -mm
		}
		if math.Abs(mm) > 1e-6 {
			g.Departures = append(g.Departures, Departure{c.Strand, h, mm, mm / pitch})
		}
	}
}

// Even says whether the grid is strictly even.
func (g *Grid) Even() bool {
	return len(g.Departures) == 0 && math.Abs(g.SpreadMain) < 1e-6 && math.Abs(g.SpreadCross) < 1e-6
}

// Hole is the point of a hole on the inside of the hoop; ok is false for a hole that carries no string.
func (g *Grid) Hole(h patterns.Hole) (p Point, ok bool) { p, ok = g.holes[h]; return p, ok }

// Line is a strand of the grid; ok is false when the frame has no such strand.
func (g *Grid) Line(s patterns.Strand) (l Line, ok bool) {
	i, lines := s.Number-1, g.Rows
	if s.Kind == patterns.Main {
		left := len(g.Frame.Mains[patterns.Left])
		lines = g.Columns[:left]
		i = left - s.Number
		if s.Side == patterns.Right {
			lines, i = g.Columns[left:], s.Number-1
		}
	}
	if i < 0 || i >= len(lines) {
		return Line{}, false
	}
	return lines[i], true
}

// SpanMM is the length of a strand inside the hoop, 0 when the frame has no such strand.
func (g *Grid) SpanMM(s patterns.Strand) float64 {
	l, _ := g.Line(s)
	return l.MM()
}

// OutsideMM is the length of a run from hole to hole round the outside of a wall, the shorter way: the way along
// the inside and, for the wall, its thickness times the angle by which the hoop turns.
// Source: a curve parallel to a convex one is longer by distance × turning, Steiner (1840), from memory.
func (g *Grid) OutsideMM(from, to patterns.Hole, wallMM float64) float64 {
	way := math.Abs(math.Remainder(g.along[to]-g.along[from], 4*g.Shape.quarter()))
	turn := math.Abs(math.Remainder(g.Shape.normal(g.holes[to])-g.Shape.normal(g.holes[from]), 2*math.Pi))
	return way + wallMM*turn
}
