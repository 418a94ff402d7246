package ticket

import (
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/sequence/plan"
)

// frameOf makes a frame of what a plan tells of it. Without a hoop it gets one of the sport's usual proportions, which
// are only for the picture: from memory.
func frameOf(t *plan.Terms, hoop *patterns.Hoop) *patterns.Frame {
	f := &patterns.Frame{Sport: patterns.Sport(t.Sport), Holes: [2]int{t.HolesLeft, t.HolesRight}, Hoop: hoop, Shared: map[patterns.Hole]bool{}}
	if hoop == nil {
		f.Hoop = usual(f.Sport)
	}
	if t.MainsStart == patterns.Throat.String() {
		f.Start = patterns.Throat
	}
	chord := func(s patterns.Strand, c plan.Chord) patterns.Chord {
		return patterns.Chord{Strand: s, Ends: [2]patterns.Hole{hole(f, c.Ends[0]), hole(f, c.Ends[1])}}
	}
	var left []plan.Chord
	for _, c := range t.Mains {
		if strings.HasSuffix(string(c.Strand), patterns.Left.String()) {
			left = append(left, c)
			continue
		}
		n := len(f.Mains[patterns.Right]) + 1
		f.Mains[patterns.Right] = append(f.Mains[patterns.Right], chord(patterns.MainStrand(n, patterns.Right), c))
	}
	slices.Reverse(left) // columns go from left to right, mains count from the centre
	for i, c := range left {
		f.Mains[patterns.Left] = append(f.Mains[patterns.Left], chord(patterns.MainStrand(i+1, patterns.Left), c))
	}
	for i, c := range t.Crosses {
		f.Crosses = append(f.Crosses, chord(patterns.CrossStrand(i+1), c))
	}
	for _, h := range t.Shared {
		f.Shared[hole(f, h)] = true
	}
	return f
}

func usual(s patterns.Sport) *patterns.Hoop {
	switch s {
	case patterns.Badminton:
		return &patterns.Hoop{LengthMM: 245, WidthMM: 190, Exponent: 2.2}
	case patterns.Squash, patterns.Racquetball:
		return &patterns.Hoop{LengthMM: 330, WidthMM: 215, Exponent: 2}
	}
	return &patterns.Hoop{LengthMM: 330, WidthMM: 250, Exponent: 2}
}

// hole reads a hole of a plan; the plan was proved, so it names none that the frame has not.
func hole(f *patterns.Frame, name plan.Hole) patterns.Hole {
	ref, err := patterns.ParseRef(string(name))
	if err != nil {
		return patterns.Hole{}
	}
	h, _ := f.Hole(ref)
	return h
}

// places says where each hole is: on the most even grid, or, where the hoop has none for this order of holes, evenly
// round it. Straight strands then still cross where their chords do and nowhere else, for the hoop is convex.
func places(f *patterns.Frame) (func(patterns.Hole) grid.Point, *grid.Shape) {
	if g, err := grid.New(f, grid.Measured{}); err == nil {
		return func(h patterns.Hole) grid.Point { p, _ := g.Hole(h); return p }, g.Shape
	}
	shape, err := grid.NewShape(*f.Hoop)
	if err != nil {
		shape, _ = grid.NewShape(*usual(f.Sport)) // one that there is
	}
	ring := shape.Outline(2 * f.Total())
	return func(h patterns.Hole) grid.Point { return ring[(2*f.Pos(h)-1+len(ring))%len(ring)] }, shape
}
