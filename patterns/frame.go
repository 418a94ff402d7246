package patterns

import (
	"strconv"

	"pullcard/patterns/assume"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
)

// Sport is one of the four racket sports.
type Sport string

// The sports.
const (
	Tennis      Sport = "tennis"
	Badminton   Sport = "badminton"
	Squash      Sport = "squash"
	Racquetball Sport = "racquetball"
)

// Sports lists the sports.
func Sports() []Sport { return []Sport{Tennis, Badminton, Squash, Racquetball} }

// Frame is what a layout means: holes round the hoop and the strands between them.
// It is made by ReadLayout and not changed afterwards.
type Frame struct {
	Name  string
	Sport Sport
	Start End // where the two centre mains loop
	// Holes is the number of holes of each side.
	Holes [2]int
	// Mains are each side's mains from the centre outwards.
	Mains [2][]Chord
	// Crosses go from the head down.
	Crosses []Chord
	// Shared holes carry a main and a cross.
	Shared map[Hole]bool
	// TieMains and TieCrosses are the tie-off holes in the order of the layout.
	TieMains, TieCrosses []Hole
	// TieMainsAt and TieCrossesAt are the places of the two lists, for messages.
	TieMainsAt, TieCrossesAt source.Pos
	// Hoop is nil when the layout gives no size; HoopAt is the place of its table, for messages.
	Hoop   *Hoop
	HoopAt source.Pos
	// Measured is what was measured with a tape.
	Measured Measured
	// Printed is the tension range printed on the frame, nil when the layout gives none.
	Printed *Range
	// Strain is what the layout says of how the hoop gives.
	Strain assume.Table
	// File is the name of the layout file, for messages.
	File string
}

// Hoop is the inside of the frame: a superellipse with its long axis along the mains.
type Hoop struct {
	LengthMM, WidthMM float64
	Exponent          float64 // 2 is an ellipse
}

// Range is a printed tension range.
type Range struct{ Min, Max measure.Tension }

func (r Range) String() string { return r.Min.String() + " to " + r.Max.String() }

// Total is the number of holes round the hoop.
func (f *Frame) Total() int { return f.Holes[Left] + f.Holes[Right] }

// Pos is a hole's place round the hoop, from 1 at the head's first left hole down the left side, along the throat and
// up the right side.
func (f *Frame) Pos(h Hole) int {
	if h.Side == Left {
		return h.N
	}
	return f.Total() + 1 - h.N
}

// Hole turns a written reference with a side into the hole; ok is false when the side has no such hole.
func (f *Frame) Hole(r Ref) (h Hole, ok bool) {
	n := r.N
	if r.End == Throat {
		n = f.Holes[r.Side] + 1 - r.N
	}
	return Hole{r.Side, n}, n >= 1 && n <= f.Holes[r.Side]
}

// Count is the hole's number counted from an end.
func (f *Frame) Count(h Hole, e End) int {
	if e == Head {
		return h.N
	}
	return f.Holes[h.Side] + 1 - h.N
}

// Nearer is the end that a hole is nearer to; the middle one counts as the head's.
func (f *Frame) Nearer(h Hole) End {
	if 2*h.N > f.Holes[h.Side]+1 {
		return Throat
	}
	return Head
}

// HoleName writes a hole counted from the end that it is nearer to, "7HL".
func (f *Frame) HoleName(h Hole) string { return f.HoleAt(h, f.Nearer(h)) }

// HoleAt writes a hole counted from a given end, as a main's holes are.
func (f *Frame) HoleAt(h Hole, e End) string {
	return strconv.Itoa(f.Count(h, e)) + e.Letter() + h.Side.String()
}

// EndName writes the hole of a chord at one of its ends: a main's by the end, a cross's by the nearer one.
func (f *Frame) EndName(c Chord, i int) string {
	if c.Kind == Main {
		return f.HoleAt(c.Ends[i], End(i))
	}
	return f.HoleName(c.Ends[i])
}

// Columns are the mains from left to right: …, M2L, M1L, M1R, M2R, …
func (f *Frame) Columns() []Chord {
	out := make([]Chord, 0, len(f.Mains[Left])+len(f.Mains[Right]))
	for i := len(f.Mains[Left]) - 1; i >= 0; i-- {
		out = append(out, f.Mains[Left][i])
	}
	return append(out, f.Mains[Right]...)
}

// Has says whether the frame has a strand.
func (f *Frame) Has(s Strand) bool {
	if s.Kind == Cross {
		return s.Number <= len(f.Crosses)
	}
	return s.Number <= len(f.Mains[s.Side])
}

// Cross is the n-th cross from the head.
func (f *Frame) Cross(n int) Chord { return f.Crosses[n-1] }

// MainsEnd is the end of the hoop where the outermost main of a side leaves it: mains go up and down in turn.
func (f *Frame) MainsEnd(s Side) End {
	if len(f.Mains[s])%2 == 0 {
		return f.Start
	}
	return f.Start.Other()
}
