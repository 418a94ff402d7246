package sequence

import (
	"fmt"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/source"
	"pullcard/sequence/plan"
)

// hands writes down, op by op, what two hands do, and remembers what the next op depends on: which holes are threaded,
// where runs lie outside the frame, which strands are tight and where the clamps stand.
type oldHands struct {
	f *patterns.Frame
	t *Technique
	o orders
	// stretch is by how many percent the strings of mains and crosses are stretched beforehand.
	stretch [2]float64

	steps    []plan.Step
	phase    plan.Phase
	clamps   map[plan.Clamp]plan.Grip
	left     map[patterns.Hole]int // strands still to be threaded through a hole
	holeName []plan.Hole           // by place round the hoop
	through  map[patterns.Hole][]patterns.Strand
	runs     map[maker]run // outside the frame, by what made them
	tight    map[patterns.Strand]bool
	knots    map[patterns.Hole]bool
	knotOf   map[tail]patterns.Hole
	exit     map[patterns.Strand]patterns.Hole // where a laid strand leaves the hoop
	tails    map[tail]bool                     // the ends from which string hangs free
	before   map[patterns.Strand]tail          // what a strand was laid from
	entry    map[patterns.Strand]patterns.Hole
	named    map[plan.Strand]patterns.Chord
	mounted  map[string]bool // supports, of a job that is taken up
	warnings []string
}

func newOldHands(f *patterns.Frame, t *Technique, o orders) *oldHands {
	h := &oldHands{
		f: f, t: t, o: o,
		clamps:  map[plan.Clamp]plan.Grip{},
		mounted: map[string]bool{},
		named:   map[plan.Strand]patterns.Chord{},
		runs:    map[maker]run{},
		left:    make(map[patterns.Hole]int, f.Total()),
		through: make(map[patterns.Hole][]patterns.Strand, f.Total()),
		tight:   map[patterns.Strand]bool{},
		knots:   map[patterns.Hole]bool{},
		knotOf:  map[tail]patterns.Hole{},
		exit:    map[patterns.Strand]patterns.Hole{},
		tails:   map[tail]bool{},
		before:  map[patterns.Strand]tail{},
		entry:   map[patterns.Strand]patterns.Hole{},
	}
	for _, c := range h.chords() {
		h.named[strand(c.Strand)] = c
		for _, e := range c.Ends {
			h.left[e]++
		}
	}
	h.nameHoles()
	return h
}

func (h *oldHands) chords() []patterns.Chord { return append(h.f.Columns(), h.f.Crosses...) }

// name writes a hole: a main's as the layout does, any other by the end that it is nearer to.
func (h *oldHands) name(hole patterns.Hole) plan.Hole { return h.holeName[h.f.Pos(hole)] }

// nameHoles writes every hole once.
func (h *oldHands) nameHoles() {
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

// begin opens a step; end closes it with the places of the clamps.
func (h *oldHands) begin(title string) {
	h.steps = append(h.steps, plan.Step{N: len(h.steps) + 1, Phase: h.phase, Title: title, Ops: make([]plan.Op, 0, 6)})
}

func (h *oldHands) end() {
	s := &h.steps[len(h.steps)-1]
	s.Clamps = make(map[plan.Clamp]*plan.Grip, 3)
	for _, c := range plan.Clamps() {
		s.Clamps[c] = nil
		if g, on := h.clamps[c]; on {
			s.Clamps[c] = &g
		}
	}
}

func (h *oldHands) op(o plan.Op) {
	s := &h.steps[len(h.steps)-1]
	s.Ops = append(s.Ops, o)
}

func (h *oldHands) note(text string)    { h.op(plan.Op{Op: plan.Note, Text: text}) }
func (h *oldHands) inspect(text string) { h.op(plan.Op{Op: plan.Inspect, Text: text}) }

// covered are the holes still to be threaded strictly between two holes of one side.
func (h *oldHands) covered(from, to patterns.Hole) (covers []patterns.Hole) {
	step := 1
	if from.N > to.N {
		step = -1
	}
	for n := from.N + step; from.N != to.N && n != to.N; n += step {
		if hole := (patterns.Hole{Side: from.Side, N: n}); h.left[hole] > 0 {
			covers = append(covers, hole)
		}
	}
	return covers
}

// lead takes the string outside the frame from one hole to another and returns what it covers. Across the centre line
// only the centre loop goes, which lies over nothing.
func (h *oldHands) lead(by maker, from, to patterns.Hole) []plan.Hole {
	if from.Side != to.Side {
		return nil
	}
	covers := h.covered(from, to)
	h.runs[by] = run{from.Side, min(from.N, to.N), max(from.N, to.N)}
	return h.names(covers)
}

func (h *oldHands) names(holes []patterns.Hole) []plan.Hole {
	var out []plan.Hole
	for _, hole := range holes {
		out = append(out, h.name(hole))
	}
	return out
}

func (h *oldHands) blocked(holes ...patterns.Hole) (out []plan.Hole) {
	for _, hole := range holes {
		for _, r := range h.runs {
			if r.over(hole) {
				out = append(out, h.name(hole))
				break
			}
		}
	}
	return out
}

// lay threads or weaves a strand from a hole to its other one and returns the tail that then hangs out.
func (h *oldHands) lay(piece plan.Piece, c patterns.Chord, from patterns.Hole, after tail) tail {
	to := c.Ends[0]
	if to == from {
		to = c.Ends[1]
	}
	o := plan.Op{Op: plan.Thread, Strand: strand(c.Strand), From: h.name(from), To: h.name(to), Piece: piece, Blocked: h.blocked(from, to)}
	if !after.none() {
		o.After = strand(after.strand)
		h.announce(after.hole, from)
		o.Covers = h.lead(maker{strand: c.Strand}, after.hole, from)
	}
	if c.Kind == patterns.Cross {
		h.woven(&o, c, from.Side)
	}
	h.op(o)
	h.laid(c, from, to, after)
	return tail{c.Strand, to}
}

// laid remembers a strand that lies in the frame.
func (h *oldHands) laid(c patterns.Chord, from, to patterns.Hole, after tail) {
	for _, e := range c.Ends {
		h.left[e]--
		h.through[e] = append(h.through[e], c.Strand)
	}
	h.entry[c.Strand], h.exit[c.Strand] = from, to
	_, tied := h.knotOf[tail{c.Strand, from}]
	h.tails[tail{c.Strand, from}], h.tails[tail{c.Strand, to}] = after.none() && !tied, true
	delete(h.tails, after)
	h.before[c.Strand] = after
}

// announce notes, before string is led from one hole to another, which holes it will cover.
func (h *oldHands) announce(from, to patterns.Hole) {
	if from.Side != to.Side {
		return
	}
	if covers := h.names(h.covered(from, to)); len(covers) > 0 {
		h.note(scrap + plan.Holes(covers) + " before this run covers " + it(covers))
	}
	if steps := max(from.N-to.N, to.N-from.N); steps > longRun {
		h.warnings = append(h.warnings, "the run outside from "+string(h.name(from))+" to "+string(h.name(to))+" is long: it passes more than three holes")
	}
}

// woven adds what a cross's weave says: the side that it starts on decides which main it meets first.
func (h *oldHands) woven(o *plan.Op, c patterns.Chord, from patterns.Side) {
	o.Op = plan.Weave
	met := h.f.Met(c)
	o.Meets = len(met)
	first := met[0]
	if from == patterns.Right {
		first = met[len(met)-1]
	}
	o.First = plan.Under
	if patterns.Over(c.Number, first) {
		o.First = plan.Over
	}
	for _, n := range []int{c.Number - 1, c.Number + 1} {
		if h.tight[patterns.CrossStrand(n)] {
			h.note(hardWeave + "every main stands on the wrong level beside " + patterns.CrossStrand(n).String() + "; fan the string, do not saw on one spot")
			return
		}
	}
}

// pull takes the string outside a hole with the gripper.
func (h *oldHands) pull(s patterns.Strand, hole patterns.Hole, boosted, repull bool) {
	order := h.o.of(s)
	o := plan.Op{Op: plan.Pull, Strand: strand(s), Hole: h.name(hole), Newtons: order.Newtons, Tension: order.Ordered, Repull: repull}
	if boosted {
		o.Newtons, o.Tension, o.BoostPercent = order.BoostedNewtons, order.Boosted, order.BoostPercent
	}
	h.op(o)
	h.tight[s] = true
}

// grip sets a clamp on a strand beside a hole.
func (h *oldHands) grip(c plan.Clamp, s patterns.Strand, hole patterns.Hole, outside bool) {
	h.clamps[c] = plan.Grip{Strand: strand(s), Hole: h.name(hole), Outside: outside}
	h.op(plan.Op{Op: plan.Grab, Clamp: c, Strand: strand(s), Hole: h.name(hole), Outside: outside})
}

// ungrip takes a clamp off if it is on.
func (h *oldHands) ungrip(c plan.Clamp) {
	if _, on := h.clamps[c]; on {
		delete(h.clamps, c)
		h.op(plan.Op{Op: plan.Unclamp, Clamp: c})
	}
}

func (h *oldHands) release() { h.op(plan.Op{Op: plan.Release}) }

// free is a clamp A or B that stands nowhere, the one of the given side if both do.
func (h *oldHands) free(side patterns.Side) plan.Clamp {
	c := clampOf(side)
	if _, on := h.clamps[c]; on {
		return clampOf(side.Other())
	}
	return c
}

// tie knots a tail off in the nearest tie-off hole of its side that has room for the knot and a tight strand to anchor
// it, at a draw the one nearer the centre line.
func (h *oldHands) tie(t tail, knot string) error {
	hole, anchor, err := h.tieHole(t)
	if err != nil {
		return err
	}
	h.announce(t.hole, hole)
	h.op(plan.Op{
		Op: plan.Tie, Strand: strand(t.strand), Out: h.name(t.hole), Hole: h.name(hole), Anchor: strand(anchor), Knot: knot,
		Covers: h.lead(maker{t.strand, t.hole}, t.hole, hole),
	})
	h.knots[hole] = true
	h.knotOf[t] = hole
	delete(h.tails, t)
	return nil
}

// finish ties a tail off whose strand is in a clamp, takes the clamp off and trims, as a step of its own.
func (h *oldHands) finish(t tail, title string) error {
	h.begin(title)
	if err := h.tie(t, h.t.Knot); err != nil {
		return err
	}
	for _, c := range []plan.Clamp{plan.A, plan.B} {
		if g, on := h.clamps[c]; on && g.Strand == strand(t.strand) && g.Hole == h.name(t.hole) {
			h.ungrip(c)
		}
	}
	h.trim(t)
	h.end()
	return nil
}

// trim cuts the tail behind the knot.
func (h *oldHands) trim(t tail) {
	h.op(plan.Op{Op: plan.Trim, Hole: h.name(h.knotOf[t]), TailMM: h.t.TailMM})
}

func (h *oldHands) tieHole(t tail) (patterns.Hole, patterns.Strand, error) {
	key, candidates, at := "mains", h.f.TieMains, h.f.TieMainsAt
	if t.strand.Kind == patterns.Cross {
		key, candidates, at = "crosses", h.f.TieCrosses, h.f.TieCrossesAt
	}
	var best patterns.Hole
	var hold patterns.Strand
	var out []string
	for _, c := range candidates {
		if c.Side != t.hole.Side {
			continue
		}
		anchor, why := h.anchor(c, t.strand)
		if why != "" {
			out = append(out, fmt.Sprintf("%s %s", h.name(c), why))
			continue
		}
		if best.N == 0 || h.nearer(t.hole, c, best) {
			best, hold = c, anchor
		}
	}
	if best.N > 0 {
		return best, hold, nil
	}
	if len(out) == 0 {
		out = append(out, "there is none on the "+sideWord(t.hole.Side)+" side")
	}
	return best, hold, source.Problem{File: h.f.File, Pos: at, Text: fmt.Sprintf(
		"no tie-off hole for the tail of %s that leaves at %s: %s; name another in tie.%s", t.strand, h.name(t.hole), strings.Join(out, ", "), key)}
}

// anchor is the strand that a knot in a hole can sit on, or why there is none.
func (h *oldHands) anchor(hole patterns.Hole, own patterns.Strand) (patterns.Strand, string) {
	if h.knots[hole] {
		return own, "has a knot already"
	}
	slack := ""
	for _, s := range h.through[hole] {
		switch {
		case s == own:
			slack = "carries only " + s.String() + " itself"
		case !h.tight[s]:
			slack = "carries " + s.String() + ", which is slack"
		default:
			return s, ""
		}
	}
	if slack == "" {
		slack = "carries no strand yet"
	}
	return own, slack
}

// nearer says whether hole a serves a tail that leaves at out better than b.
func (h *oldHands) nearer(out, a, b patterns.Hole) bool {
	da, db := max(a.N-out.N, out.N-a.N), max(b.N-out.N, out.N-b.N)
	if da != db {
		return da < db
	}
	return h.f.Count(a, h.f.Nearer(a)) < h.f.Count(b, h.f.Nearer(b))
}

// maker and run are those of the old hands.
type maker struct {
	strand patterns.Strand
	tied   patterns.Hole
}

type run struct {
	side   patterns.Side
	lo, hi int
}

func (r run) over(h patterns.Hole) bool { return h.Side == r.side && r.lo < h.N && h.N < r.hi }
