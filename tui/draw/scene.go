// Package draw draws the racket as a woven bed in the cells of a terminal, strand by strand as a plan lays it, and
// text in figures that are read from the machine.
//
// At plays a plan up to a step and gives a Scene, Scene.Render draws it. Big sets large figures. Everything here is a
// pure function of its arguments; colours come in with a Palette, and every mark has a shape of its own, so that the
// picture says all without them.
package draw

import (
	"slices"

	"pullcard/sequence/plan"
)

// Scene is the bed at one moment: some steps are done, one is in hand.
type Scene struct {
	// Current is the strand that the step in hand pulls, lays or ties; empty when none.
	Current plan.Strand
	// Entry is the hole by which the strand in hand comes in, Exit where the gripper pulls it or its tail leaves.
	Entry, Exit plan.Hole
	// Next is the strand that will be laid after the step in hand; empty when all are laid.
	Next plan.Strand
	// Deferred are the strands whose pull, or second pull, is put off until others that were laid later are pulled.
	Deferred []plan.Strand
	// Blocked are the holes still to be threaded over which an outside run lies.
	Blocked []plan.Hole
	// Soon are the holes still to be threaded that the step in hand, or one of the next two, covers.
	Soon []plan.Hole
	// Grips are the clamps where they stand now, After where they stand when the step in hand is over.
	Grips, After map[plan.Clamp]plan.Grip

	ring    ring
	mains   []span // in columns from left to right
	crosses []span // from the head down
	runs    []run
	knots   []knot
	pull    bool // the step in hand pulls
	fitted  *fitted
}

// state is how far a strand has come.
type state uint8

const (
	absent state = iota
	coming       // the next one to be laid
	slack
	taut
)

// span is a strand of the bed.
type span struct {
	name     plan.Strand
	ends     [2]int // places on the ring: of a main at the head and the throat, of a cross on the left and the right
	piece    plan.Piece
	state    state
	inHand   bool
	deferred bool
	over     []face // of a cross: how it passes the main in each column
}

// face is how a cross passes a main.
type face uint8

const (
	apart face = iota // they do not meet
	over
	under
)

// run is string that lies outside the frame between two holes: from an end of one strand to an end of the next, or to
// the knot of its own tail.
type run struct {
	from, to      int // places on the ring
	after, strand plan.Strand
	tail          bool // it leads from strand to a knot; after is empty
	inHand        bool
}

// knot sits in a tie-off hole.
type knot struct {
	hole   int
	strand plan.Strand
	inHand bool // it is made or opened in the step in hand
}

// At is the scene of a plan with the first done steps over and step current in hand. Steps count from 1; a current
// that is no step of the plan means that nothing is in hand.
func At(p *plan.Plan, done, current int) Scene {
	s := newScene(&p.Terms)
	s.weaveFaces(p)
	for i := range p.Steps[:min(max(done, 0), len(p.Steps))] {
		s.play(p.Steps[i].Ops)
	}
	s.blocked()
	s.After = s.Grips
	if current >= 1 && current <= len(p.Steps) {
		s.take(p, current)
	}
	s.putOff(p, done)
	return s
}

func newScene(t *plan.Terms) Scene {
	s := Scene{Grips: map[plan.Clamp]plan.Grip{}, ring: newRing(t)}
	for _, c := range t.Mains {
		s.mains = append(s.mains, span{name: c.Strand, ends: s.ring.ends(c)})
	}
	for _, c := range t.Crosses {
		s.crosses = append(s.crosses, span{name: c.Strand, ends: s.ring.ends(c), over: make([]face, len(s.mains))})
	}
	return s
}

// span finds a strand by its name, nil when the bed has none of that name.
func (s *Scene) span(name plan.Strand) *span {
	for _, list := range [][]span{s.mains, s.crosses} {
		for i := range list {
			if list[i].name == name {
				return &list[i]
			}
		}
	}
	return nil
}

// weaveFaces reads from the weaves of the plan how each cross passes each main that it meets: the first as the weave
// says, the others in turn along the way.
func (s *Scene) weaveFaces(p *plan.Plan) {
	for i := range p.Steps {
		for _, op := range p.Steps[i].Ops {
			if c := s.span(op.Strand); op.Op == plan.Weave && c != nil && c.over != nil {
				s.weaveFace(c, &op)
			}
		}
	}
}

func (s *Scene) weaveFace(c *span, op *plan.Op) {
	next, then := over, under
	if op.First == plan.Under {
		next, then = under, over
	}
	columns := make([]int, len(s.mains))
	for i := range columns {
		columns[i] = i
	}
	if s.ring.at(op.From) == c.ends[1] {
		slices.Reverse(columns)
	}
	for _, i := range columns {
		c.over[i] = apart
		if s.ring.cross(c.ends, s.mains[i].ends) {
			c.over[i] = next
			next, then = then, next
		}
	}
}
