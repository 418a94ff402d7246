// Package draw draws the racket as a woven bed in the cells of a terminal, strand by strand as it lies, and text in
// figures that are read from the machine.
//
// At gives the Scene of a plan's racket when some steps are done and one is in hand, Scene.Render draws it. Big sets large
// figures. Everything here is a pure function of its arguments; colours come in with a Palette, and every mark has a shape of
// its own, so that the picture says all without them.
package draw

import (
	"slices"

	"pullcard/sequence/plan"
)

// Scene is the bed at one moment: some steps are done, one is in hand. What lies how is the state of the racket; what the
// step in hand does to it is marked.
type Scene struct {
	// Current is the strand that the step in hand pulls, lays or ties; empty when none.
	Current plan.Strand
	// Entry is the hole by which the strand in hand comes in, Exit where the gripper pulls it or its tail leaves.
	Entry, Exit plan.Hole
	// Next is the strand that will be laid after the step in hand; empty when all are laid.
	Next plan.Strand
	// Deferred are the strands whose pull, or second pull, is put off until others that were laid later are pulled, but for
	// what is in hand.
	Deferred []plan.Deferral
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
	pull    bool  // the step in hand pulls
	fed     []way // the ways of what the step in hand lays before its current strand, where it pulls nothing
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
	line     plan.Strand // whose line it is drawn on: its own, or that of the one with which it is swapped
	ends     [2]int      // places on the ring: of a main at the head and the throat, of a cross on the left and the right
	home     [2]int      // the same as the layout has them: an end may be astray in another hole
	state    state
	inHand   bool
	deferred bool
	over     []face // of a cross: how it passes the main in each column
}

// way is how a strand is laid: in by one hole, out by another.
type way struct {
	strand      plan.Strand
	entry, exit plan.Hole
}

// astray says whether an end is in another hole than the layout has for it.
func (c *span) astray(end int) bool { return c.ends[end] != c.home[end] }

// end is the end of a strand that lies in a place, 0 or 1.
func (c *span) end(place int) int {
	if c.ends[1] == place {
		return 1
	}
	return 0
}

// waits says whether an end of the strand is still to come to a place: the strand is not laid yet, or the end is astray.
func (c *span) waits(place int) bool {
	return slices.Contains(c.home[:], place) && (c.state < slack || !slices.Contains(c.ends[:], place))
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
	done = min(max(done, 0), len(p.Steps))
	return Of(p, p.After(done), done, current)
}

// Of is the same of a racket that was brought so far already; it is not changed.
func Of(p *plan.Plan, r *plan.Racket, done, current int) Scene {
	s := newScene(&p.Terms)
	s.lie(r)
	for place := 1; place <= s.ring.total(); place++ {
		if r.ToBeThreaded(place) && r.Blocked(place) {
			s.Blocked = append(s.Blocked, s.ring.name(place))
		}
	}
	s.Grips = grips(r)
	s.After = s.Grips
	if current >= 1 && current <= len(p.Steps) {
		s.take(r, p, current)
	}
	s.putOff(p, done)
	return s
}

func newScene(t *plan.Terms) Scene {
	s := Scene{ring: newRing(t)}
	for _, c := range t.Mains {
		s.mains = append(s.mains, span{name: c.Strand, line: c.Strand, ends: s.ring.ends(c), home: s.ring.ends(c)})
	}
	for _, c := range t.Crosses {
		s.crosses = append(s.crosses, span{name: c.Strand, line: c.Strand, ends: s.ring.ends(c), home: s.ring.ends(c), over: make([]face, len(s.mains))})
	}
	return s
}

// span finds a strand by its name, nil when the bed has none of that name.
func (s *Scene) span(name plan.Strand) *span {
	for c := range s.spans {
		if c.name == name {
			return c
		}
	}
	return nil
}

// spans go over all strands.
func (s *Scene) spans(yield func(*span) bool) {
	for _, list := range [][]span{s.mains, s.crosses} {
		for i := range list {
			if !yield(&list[i]) {
				return
			}
		}
	}
}

// lie puts everything where it lies.
func (s *Scene) lie(r *plan.Racket) {
	for _, x := range r.Spans() {
		if x.Laid() {
			c := s.span(x.Strand)
			c.state, c.ends = slack, r.LiesAt(x.Strand)
		}
		if x.Tight {
			s.span(x.Strand).state = taut
		}
	}
	trade(s.mains)
	trade(s.crosses)
	for _, x := range r.Spans() {
		if x.Laid() {
			s.weave(r, s.span(x.Strand), &x)
		}
	}
	for _, x := range r.Runs() {
		s.runs = append(s.runs, s.run(r, x))
	}
	for _, k := range r.Knots() {
		s.knots = append(s.knots, knot{hole: s.ring.at(k.Hole), strand: k.Strand})
	}
}

// trade gives a strand that lies in both holes of another the other's line, if that one lies in its holes or not at all: so each is drawn
// where it is.
func trade(list []span) {
	for i := range list {
		for j := range list {
			a, b := &list[i], &list[j]
			if i != j && a.state >= slack && a.ends == b.home && (b.state < slack && b.ends == b.home || b.state >= slack && b.ends == a.home) {
				*a, *b = *b, *a
				a.home, b.home = b.home, a.home
				a.line, b.line = b.line, a.line
				if a.state < slack {
					a.ends = a.home
				}
			}
		}
	}
}

// weave reads from a cross as it lies how it passes each main that it meets: the first as it was woven, the others in turn
// along the way.
func (s *Scene) weave(r *plan.Racket, c *span, x *plan.Span) {
	if c.over == nil {
		return
	}
	next, then := over, under
	if x.First == plan.Under {
		next, then = under, over
	}
	columns := make([]int, len(s.mains))
	for i := range columns {
		columns[i] = i
	}
	if s.ring.at(x.In) == c.ends[1] {
		slices.Reverse(columns)
	}
	for _, i := range columns {
		c.over[i] = apart
		if s.ring.cross(r.Ends(c.line), r.Ends(s.mains[i].line)) { // a main that stays in a wrong hole meets others than in its own
			c.over[i] = next
			next, then = then, next
		}
	}
}

// run is a run as it was laid: towards the newer of its strands.
func (s *Scene) run(r *plan.Racket, x plan.Run) run {
	from, to := s.ring.at(x.From), s.ring.at(x.To)
	switch {
	case x.Next == "":
		return run{from: from, to: to, strand: x.Of, tail: true}
	case r.Span(x.Of).Nth > r.Span(x.Next).Nth:
		return run{from: to, to: from, after: x.Next, strand: x.Of}
	}
	return run{from: from, to: to, after: x.Of, strand: x.Next}
}

func grips(r *plan.Racket) map[plan.Clamp]plan.Grip {
	out := map[plan.Clamp]plan.Grip{}
	for c, g := range r.Grips() {
		if g != nil {
			out[c] = *g
		}
	}
	return out
}

// due says whether a strand is still to end at a place.
func (s *Scene) due(place int) bool {
	for c := range s.spans {
		if c.waits(place) {
			return true
		}
	}
	return false
}

// leaves says whether the run leads on from an end of a strand.
func (r *run) leaves(c *span, end int) bool {
	place := c.ends[end]
	if r.tail {
		return r.strand == c.name && r.from == place
	}
	return r.strand == c.name && r.to == place || r.after == c.name && r.from == place
}

// joined says whether a run leads on from an end of a strand.
func (s *Scene) joined(c *span, end int) bool {
	return slices.ContainsFunc(s.runs, func(r run) bool { return r.leaves(c, end) })
}
