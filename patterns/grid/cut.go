package grid

import (
	"fmt"
	"math"

	"pullcard/patterns"
)

// Practice holds the allowances of the bench in mm. All of them are common practice of the trade and vary from house
// to house and frame to frame.
type Practice struct {
	// WallMM is a pass through the wall of the frame, once at each end of a span.
	WallMM float64
	// ReachMM is what a free end needs to reach the gripper; its tail then serves the knot.
	ReachMM float64
	// KnotMM is the tail of a starting knot, which no gripper takes.
	KnotMM float64
	// WeaveMM is a margin for weaving, once in each piece that has crosses.
	WeaveMM float64
	// TapeMM is what a tape reads; a length is rounded up to it.
	TapeMM float64
}

// Usual are the usual allowances: 12 mm a wall pass, 400 mm of reach (350 to 450), 200 mm for a starting knot,
// 100 mm to weave with (0 to 200), a tape read to 5 mm. Common practice of the trade. The string's stretch, 3 to 10 %, is
// left as a safety and not deducted.
func Usual() Practice {
	return Practice{WallMM: 12, ReachMM: 400, KnotMM: 200, WeaveMM: 100, TapeMM: 5}
}

// UsualWallMM is a usual pass through the wall of a sport's frames in mm: 12 in tennis and racquetball, 10 in squash, 8 in
// badminton. Common practice of the trade; it varies from frame to frame and is the house's to set.
func UsualWallMM(s patterns.Sport) float64 {
	switch s {
	case patterns.Badminton:
		return 8
	case patterns.Squash:
		return 10
	}
	return Usual().WallMM
}

// Course is a piece of string in the order in which it lies: two arms that begin where its loop lies. A piece that is
// strung from one end has its string in the first arm and only a tail, if anything, in the second.
type Course struct {
	Name string
	// Loop is the outside run between the arms, such as the centre loop of the mains; nil when there is none.
	Loop *[2]patterns.Hole
	Arms [2]Arm
}

// Arm is one side of a piece, from the loop outwards.
type Arm struct {
	// Name says which end it is, as "left" or "long".
	Name  string
	Spans []patterns.Strand
	// Runs are the ways outside the frame from one span to the next. The way to the knot is not one: the reach serves it.
	Runs [][2]patterns.Hole
	// Knotted says that the arm ends in a starting knot instead of a tail for the gripper.
	Knotted bool
}

// Kind says what a term of a length is.
type Kind string

// The kinds of terms in the order in which they are shown.
const (
	Span     Kind = "span"     // a strand inside the hoop
	Wall     Kind = "wall"     // the passes through the wall
	Run      Kind = "run"      // a way outside from hole to hole
	Loop     Kind = "loop"     // the run between the two arms
	Reach    Kind = "reach"    // from the frame to the gripper
	Knot     Kind = "knot"     // the tail of a starting knot
	Weaving  Kind = "weaving"  // margin for weaving
	Rounding Kind = "rounding" // up to what a tape reads
)

// Kinds lists the kinds in their order.
func Kinds() []Kind { return []Kind{Span, Wall, Run, Loop, Reach, Knot, Weaving, Rounding} }

// Term is one part of a length, so that it can be checked with a tape.
type Term struct {
	What string  `json:"what"`
	MM   float64 `json:"mm"`
	Kind Kind    `json:"kind"`
}

// Piece is the length of a piece of string.
type Piece struct {
	Name string `json:"name"`
	// CutMM is what to cut, the sum of the terms.
	CutMM float64 `json:"cut_mm"`
	// ShortMM is how far the shorter arm reaches from the middle of the loop to its end, its own allowances included,
	// half of the piece when both arms are alike; 0 when the piece is strung from one end.
	ShortMM float64 `json:"short_mm"`
	Terms   []Term  `json:"terms"`
}

// Cut works out the length of a piece. It fails when the course names a strand or a hole that the frame has not.
func (g *Grid) Cut(c Course, p Practice) (Piece, error) {
	piece := Piece{Name: c.Name}
	var arms [2]float64
	for i, a := range c.Arms {
		terms, err := g.arm(a, p)
		if err != nil {
			return Piece{}, fmt.Errorf("cut %s: %w", c.Name, err)
		}
		piece.Terms, arms[i] = append(piece.Terms, terms...), sum(terms)
	}
	if i := c.weaver(); i >= 0 && p.WeaveMM > 0 {
		piece.Terms = append(piece.Terms, Term{c.Arms[i].Name + ": margin for weaving", p.WeaveMM, Weaving})
		arms[i] += p.WeaveMM
	}
	if c.Loop != nil {
		t, err := g.run(Loop, *c.Loop, p)
		if err != nil {
			return Piece{}, fmt.Errorf("cut %s: %w", c.Name, err)
		}
		piece.Terms = append(piece.Terms, t)
		arms[0], arms[1] = arms[0]+t.MM/2, arms[1]+t.MM/2
	}
	piece.round(arms, p)
	if len(c.Arms[0].Spans) == 0 || len(c.Arms[1].Spans) == 0 {
		piece.ShortMM = 0
	}
	return piece, nil
}

// weaver is the arm that is woven with, the one with more crosses, or -1 for none.
func (c *Course) weaver() int {
	var crosses [2]int
	for i, a := range c.Arms {
		for _, s := range a.Spans {
			if s.Kind == patterns.Cross {
				crosses[i]++
			}
		}
	}
	switch {
	case crosses[0]+crosses[1] == 0:
		return -1
	case crosses[1] > crosses[0]:
		return 1
	}
	return 0
}

// round brings the length up to what a tape reads. Equal arms share it; of others the short one is rounded by itself.
func (p *Piece) round(arms [2]float64, with Practice) {
	total := sum(p.Terms)
	p.CutMM = RoundUp(total, with.TapeMM)
	if p.CutMM > total {
		p.Terms = append(p.Terms, Term{"rounded up to the tape", p.CutMM - total, Rounding})
	}
	if math.Abs(arms[0]-arms[1]) < 1 {
		p.ShortMM = p.CutMM / 2
		return
	}
	p.ShortMM = RoundUp(min(arms[0], arms[1]), with.TapeMM)
}

func (g *Grid) arm(a Arm, p Practice) ([]Term, error) {
	var out []Term
	for _, s := range a.Spans {
		l, ok := g.Line(s)
		if !ok {
			return nil, fmt.Errorf("the frame has no strand %s", s)
		}
		out = append(out, Term{s.String(), l.MM(), Span})
	}
	if n := 2 * len(a.Spans); n > 0 {
		out = append(out, Term{fmt.Sprintf("%s: %d wall passes of %g mm", a.Name, n, p.WallMM), float64(n) * p.WallMM, Wall})
	}
	for _, r := range a.Runs {
		t, err := g.run(Run, r, p)
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	if a.Knotted {
		return append(out, Term{a.Name + ": starting knot", p.KnotMM, Knot}), nil
	}
	return append(out, Term{a.Name + ": reach to the gripper, then the knot", p.ReachMM, Reach}), nil
}

func (g *Grid) run(kind Kind, r [2]patterns.Hole, p Practice) (Term, error) {
	for _, h := range r {
		if _, ok := g.holes[h]; !ok {
			return Term{}, fmt.Errorf("no string passes hole %s", g.Frame.HoleName(h))
		}
	}
	return Term{fmt.Sprintf("%s to %s outside", g.Frame.HoleName(r[0]), g.Frame.HoleName(r[1])), g.OutsideMM(r[0], r[1], p.WallMM), kind}, nil
}

func sum(terms []Term) (mm float64) {
	for _, t := range terms {
		mm += t.MM
	}
	return mm
}

// Sums adds the terms of each kind up, in the order of Kinds, and says how many there are.
func (p Piece) Sums() []Term {
	var out []Term
	for _, k := range Kinds() {
		n, mm := 0, 0.0
		for _, t := range p.Terms {
			if t.Kind == k {
				n, mm = n+1, mm+t.MM
			}
		}
		if n > 0 {
			out = append(out, Term{fmt.Sprintf("%d × %s", n, k), mm, k})
		}
	}
	return out
}
