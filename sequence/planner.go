package sequence

import (
	"fmt"
	"slices"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// planner writes down, op by op, what two hands do. What the next op depends on it reads from the racket, which takes every
// op that is written.
type planner struct {
	f *patterns.Frame
	t *Technique
	o orders
	// stretch is by how many percent the strings of mains and crosses are stretched beforehand.
	stretch [2]float64

	racket   *plan.Racket
	steps    []plan.Step
	room     []plan.Op    // for the ops of steps to come
	loads    []plan.Load  // when each step is over
	ordinal  int          // of the step that is written, among all that string the racket
	seen     map[int]bool // of a job that is taken up: the steps without string that are done
	phase    plan.Phase
	holeName []plan.Hole // by place round the hoop
	warnings []string
	problems source.Problems                         // runs outside that are too long
	covers   []cover                                 // the runs outside made so far
	printed  string                                  // the range printed on the frame, empty where it is not known
	first    plan.Face                               // how the first cross woven shall pass its first main
	fit      func(plan.Strand, plan.Hole) []KnotHole // in a way back: where a knot can go whose own holes are taken
	inTheWay bool                                    // the gripper pulled where something else was to be done
	flipped  bool                                    // over and under are exchanged all over the grid
}

func newPlanner(f *patterns.Frame, t *Technique, o orders) *planner {
	h := &planner{f: f, t: t, o: o, first: t.Cross.First}
	if f.Printed != nil {
		h.printed = f.Printed.String()
	}
	h.nameHoles()
	h.racket = plan.NewRacket(&plan.Terms{
		HolesLeft: f.Holes[patterns.Left], HolesRight: f.Holes[patterns.Right], Pieces: t.Pieces,
		Mains: h.chords(f.Columns()), Crosses: h.chords(f.Crosses),
	})
	return h
}

// chords writes down chords as terms name them.
func (h *planner) chords(cs []patterns.Chord) []plan.Chord {
	out := make([]plan.Chord, len(cs))
	for i, c := range cs {
		out[i] = plan.Chord{Strand: strand(c.Strand), Ends: [2]plan.Hole{h.name(c.Ends[0]), h.name(c.Ends[1])}}
	}
	return out
}

// name writes a hole: a main's as the layout does, any other by the end that it is nearer to.
func (h *planner) name(hole patterns.Hole) plan.Hole { return h.holeName[h.f.Pos(hole)] }

// holeOf is the hole of a name.
func (h *planner) holeOf(name plan.Hole) patterns.Hole { return h.holeAt(h.racket.At(name)) }

// holeAt is the hole at a place.
func (h *planner) holeAt(place int) patterns.Hole {
	if place > h.racket.Left {
		return patterns.Hole{Side: patterns.Right, N: h.racket.Total() + 1 - place}
	}
	return patterns.Hole{Side: patterns.Left, N: place}
}

// nameHoles writes every hole once.
func (h *planner) nameHoles() {
	h.holeName = make([]plan.Hole, h.f.Total()+1)
	for _, side := range patterns.Sides() {
		for n := 1; n <= h.f.Holes[side]; n++ {
			hole := patterns.Hole{Side: side, N: n}
			h.holeName[h.f.Pos(hole)] = plan.Hole(h.f.HoleName(hole))
		}
		for _, m := range h.f.Mains[side] {
			for i, e := range m.Ends {
				h.holeName[h.f.Pos(e)] = plan.Hole(h.f.EndName(m, i))
			}
		}
	}
}

func strand(s patterns.Strand) plan.Strand { return plan.Strand(s.String()) }

// begin opens a step; end closes it with the places of the clamps. A step of which nothing is left to do is not written:
// that is how a job is taken up from whatever state the racket is in.
func (h *planner) begin(title string) {
	h.ordinal++
	h.open(title)
	h.steps[len(h.steps)-1].Base = h.ordinal
}

func (h *planner) open(title string) {
	if cap(h.room) < 16 {
		h.room = make([]plan.Op, 0, 128)
	}
	h.steps = append(h.steps, plan.Step{N: len(h.steps) + 1, Phase: h.phase, Title: title, Ops: h.room})
}

func (h *planner) end() {
	s := &h.steps[len(h.steps)-1]
	if len(s.Ops) == 0 {
		h.steps = h.steps[:len(h.steps)-1]
		return
	}
	if n := len(s.Ops); n <= cap(h.room) { // otherwise they have moved to room of their own
		h.room, s.Ops = h.room[n:n], s.Ops[:n:n]
	}
	s.Clamps = h.racket.Grips()
	h.loads = append(h.loads, h.racket.Load())
}

// look writes a step without string, unless it is done.
func (h *planner) look(title string, write func()) {
	if h.begin(title); !h.seen[h.ordinal] {
		write()
	}
	h.end()
}

// op writes an op down; the racket takes it. What the gripper pulls already is not pulled again.
func (h *planner) op(o plan.Op) {
	if h.racket.Gripper() != nil {
		switch o.Op {
		case plan.Pull:
			if h.racket.Pulls(&o) {
				return
			}
			h.inTheWay = true
		case plan.Tie, plan.Thread, plan.Weave, plan.Unthread, plan.Unweave, plan.Move, plan.Cut:
			h.inTheWay = true
		}
	}
	s := &h.steps[len(h.steps)-1]
	s.Ops = append(s.Ops, o)
	if err := h.racket.Apply(&o); err != nil {
		panic(fmt.Errorf("sequence: an op that does not fit the frame: %w", err))
	}
}

func (h *planner) note(text string)    { h.op(plan.Op{Op: plan.Note, Text: text}) }
func (h *planner) inspect(text string) { h.op(plan.Op{Op: plan.Inspect, Text: text}) }

// covered are the holes still to be threaded strictly between two holes of one side.
func (h *planner) covered(from, to patterns.Hole) (covers []plan.Hole) {
	for _, place := range h.racket.Covered(h.f.Pos(from), h.f.Pos(to)) {
		covers = append(covers, h.holeName[place])
	}
	return covers
}

func (h *planner) blocked(holes ...patterns.Hole) (out []plan.Hole) {
	for _, hole := range holes {
		if h.racket.Blocked(h.f.Pos(hole)) {
			out = append(out, h.name(hole))
		}
	}
	return out
}

func (h *planner) names(holes []patterns.Hole) []plan.Hole {
	var out []plan.Hole
	for _, hole := range holes {
		out = append(out, h.name(hole))
	}
	return out
}

// tail is the end of string that the next strand is laid with: it leaves the hoop at a hole of a strand; the zero tail
// is the loose end of a new piece.
type tail struct {
	strand patterns.Strand
	hole   patterns.Hole
}

func (t tail) none() bool { return t.strand.Number == 0 }

// lay threads or weaves a strand from a hole to its other one, unless it lies there, and returns the tail that then hangs
// out.
func (h *planner) lay(piece plan.Piece, c patterns.Chord, from patterns.Hole, after tail) tail {
	if span := h.racket.Span(strand(c.Strand)); span.Laid() {
		return tail{c.Strand, h.holeOf(span.Out)}
	}
	to := c.Ends[0]
	if to == from {
		to = c.Ends[1]
	}
	for _, end := range c.Ends {
		h.sleeve(h.name(end))
	}
	o := plan.Op{Op: plan.Thread, Strand: strand(c.Strand), From: h.name(from), To: h.name(to), Piece: piece, Blocked: h.blocked(from, to)}
	if !after.none() {
		o.After = strand(after.strand)
		h.announce(after.hole, from, h.alternatives(after.strand, c.Strand))
		o.Covers = h.covered(after.hole, from)
	}
	h.unscrapped(from, to)
	if c.Kind == patterns.Cross {
		h.woven(&o, c, from.Side)
	}
	h.op(o)
	return tail{c.Strand, to}
}

// sleeve puts a sleeve into a hole that a strand comes through next, where it wants one.
func (h *planner) sleeve(hole plan.Hole) {
	if h.racket.WantsSleeve(hole) {
		h.op(plan.PutSleeve(hole))
	}
}

// woven adds what a cross's weave says: the side that it starts on decides which main it meets first.
func (h *planner) woven(o *plan.Op, c patterns.Chord, from patterns.Side) {
	o.Op = plan.Weave
	o.Meets = len(h.f.Met(c))
	o.First = h.face(patterns.Over(c.Number, h.firstMet(c, from)))
	for _, n := range []int{c.Number - 1, c.Number + 1} {
		if h.racket.Tight(strand(patterns.CrossStrand(n))) {
			h.note(plan.HardWeave + "every main stands on the wrong level beside " + patterns.CrossStrand(n).String() + "; fan the string, do not saw on one spot")
			return
		}
	}
}

// firstMet is the column of the main that a cross meets first which starts on a side.
func (h *planner) firstMet(c patterns.Chord, from patterns.Side) int {
	met := h.f.Met(c)
	if from == patterns.Right {
		return met[len(met)-1]
	}
	return met[0]
}

func (h *planner) laid(c patterns.Chord) bool  { return h.racket.Laid(strand(c.Strand)) }
func (h *planner) tight(c patterns.Chord) bool { return h.racket.Tight(strand(c.Strand)) }

// spot is the point of the string where a strand passes a hole.
func (h *planner) spot(s patterns.Strand, hole patterns.Hole) plan.Spot {
	return plan.Spot{Strand: strand(s), Hole: h.name(hole)}
}

// faceOf is over or under.
func faceOf(over bool) plan.Face {
	if over {
		return plan.Over
	}
	return plan.Under
}

// face is how a cross passes a main over which it lies by the absolute grid, or not. Where the sheet says how the first
// cross woven passes its first main, the whole grid goes by that.
func (h *planner) face(over bool) plan.Face {
	woven := slices.ContainsFunc(h.racket.Spans(), func(s plan.Span) bool { return s.Strand.IsCross() && s.Laid() })
	if h.first != "" && !woven {
		h.flipped = faceOf(over) != h.first
	}
	return faceOf(over != h.flipped)
}

// pull takes the string outside a hole with the gripper. What was pulled before is pulled again.
func (h *planner) pull(s patterns.Strand, hole patterns.Hole, boosted, repull bool) {
	h.op(h.pulling(s, hole, boosted, repull))
}

func (h *planner) pulling(s patterns.Strand, hole patterns.Hole, boosted, repull bool) plan.Op {
	if span := h.racket.Span(strand(s)); span.Pulled {
		repull, boosted = true, boosted || span.Slipped && h.racket.BoostedAt(h.spot(s, hole))
	}
	order := h.o.of(s)
	o := plan.Op{Op: plan.Pull, Strand: strand(s), Hole: h.name(hole), Newtons: order.Newtons, Tension: order.Ordered, Repull: repull}
	if boosted {
		o.Newtons, o.Tension, o.BoostPercent = order.BoostedNewtons, order.Boosted, order.BoostPercent
	}
	return o
}

// grip sets a clamp on a strand beside a hole; a flying one takes the strand beside it too.
func (h *planner) grip(c plan.Clamp, s patterns.Strand, hole patterns.Hole, outside bool) {
	o := plan.Op{Op: plan.ClampOn, Clamp: c, Strand: strand(s), Hole: h.name(hole), Outside: outside}
	if h.t.flying() && c != plan.S {
		o.With = h.beside(s)
	}
	h.op(o)
}

// ungrip takes a clamp off if it is on.
func (h *planner) ungrip(c plan.Clamp) {
	if h.racket.Grip(c) != nil {
		h.op(plan.Op{Op: plan.Unclamp, Clamp: c})
	}
}

func (h *planner) release() { h.op(plan.Op{Op: plan.Release}) }

// move takes a clamp, under the gripper's tension, to a strand's exit and eases the gripper: the one of its side, or
// whichever can go. Flying clamps have no side: a free one, or whichever can go.
func (h *planner) move(s patterns.Strand, exit patterns.Hole) {
	if c := clampOf(exit.Side); h.t.flying() || !h.racket.CanComeOff(c) {
		h.gripSpare(s, exit)
	} else {
		h.ungrip(c)
		h.grip(c, s, exit, false)
	}
	h.release()
}

// gripSpare takes the clamp that can be set next to a strand.
func (h *planner) gripSpare(s patterns.Strand, hole patterns.Hole) {
	c := h.spare(hole.Side)
	h.ungrip(c)
	h.grip(c, s, hole, false)
}

// tidy takes the clamps off that stand between tight string on either side, but the starting clamp where the crosses begin.
func (h *planner) tidy() {
	for _, c := range plan.Clamps() {
		if h.idles(c) {
			h.ungrip(c)
		}
	}
}

// idles says whether a clamp stands so.
func (h *planner) idles(c plan.Clamp) bool {
	g := h.racket.Grip(c)
	return g != nil && h.racket.CanComeOff(c) && h.racket.Tight(g.Strand) && (c != plan.S || g.Strand.IsMain())
}

// spare is the clamp that can be set next: one that stands nowhere, otherwise one that nothing tight needs.
func (h *planner) spare(side patterns.Side) plan.Clamp {
	c := h.free(side)
	if h.racket.Grip(c) != nil && !h.racket.CanComeOff(c) && h.racket.CanComeOff(other(c)) {
		return other(c)
	}
	return c
}

func other(c plan.Clamp) plan.Clamp {
	if c == plan.A {
		return plan.B
	}
	return plan.A
}

// free is a clamp A or B that stands nowhere, the one of the given side if both do.
func (h *planner) free(side patterns.Side) plan.Clamp {
	c := clampOf(side)
	if h.racket.Grip(c) != nil {
		return clampOf(side.Other())
	}
	return c
}

func clampOf(side patterns.Side) plan.Clamp {
	if side == patterns.Left {
		return plan.A
	}
	return plan.B
}
