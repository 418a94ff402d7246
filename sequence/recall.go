package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// recall is frame and technique as a plan's terms hold them, so that a job goes on when its files have changed.
func recall(t *plan.Terms) (*patterns.Frame, *Technique, error) {
	r := recaller{f: &patterns.Frame{
		Sport: patterns.Sport(t.Sport), Holes: [2]int{t.HolesLeft, t.HolesRight}, Shared: map[patterns.Hole]bool{},
	}}
	if t.MainsStart == "throat" {
		r.f.Start = patterns.Throat
	}
	half := len(t.Mains) / 2
	for i := range half {
		r.f.Mains[patterns.Left] = append(r.f.Mains[patterns.Left], r.chord(patterns.MainStrand(i+1, patterns.Left), t.Mains[half-1-i]))
		r.f.Mains[patterns.Right] = append(r.f.Mains[patterns.Right], r.chord(patterns.MainStrand(i+1, patterns.Right), t.Mains[half+i]))
	}
	for i, c := range t.Crosses {
		r.f.Crosses = append(r.f.Crosses, r.chord(patterns.CrossStrand(i+1), c))
	}
	for _, h := range t.Shared {
		r.f.Shared[r.hole(h)] = true
	}
	for _, h := range t.TieMains {
		r.f.TieMains = append(r.f.TieMains, r.hole(h))
	}
	for _, h := range t.TieCrosses {
		r.f.TieCrosses = append(r.f.TieCrosses, r.hole(h))
	}
	s := &Technique{Pieces: t.Pieces, Around: t.Around, Knot: t.Knot, TailMM: t.TailMM}
	s.Mount.Order, s.Mount.Release = t.Supports, t.Release
	s.Cross.Ahead, s.Cross.Clamps = t.Ahead, t.CrossClamps
	return r.f, s, r.err
}

type recaller struct {
	f   *patterns.Frame
	err error
}

func (r *recaller) hole(name plan.Hole) patterns.Hole {
	ref, err := patterns.ParseRef(string(name))
	h, ok := r.f.Hole(ref)
	if err == nil && !ok {
		err = fmt.Errorf("the plan's frame has no hole %s", name)
	}
	if err != nil && r.err == nil {
		r.err = err
	}
	return h
}

func (r *recaller) chord(s patterns.Strand, c plan.Chord) patterns.Chord {
	if c.Strand != strand(s) && r.err == nil {
		r.err = fmt.Errorf("the plan's strand %s stands in the place of %s", c.Strand, s)
	}
	return patterns.Chord{Strand: s, Ends: [2]patterns.Hole{r.hole(c.Ends[0]), r.hole(c.Ends[1])}}
}

// chordOf is the chord of a strand that an op names.
func (h *oldHands) chordOf(name plan.Strand) (patterns.Chord, bool) {
	c, ok := h.named[name]
	return c, ok
}

// holeOf is the hole that an op names.
func (h *oldHands) holeOf(name plan.Hole) patterns.Hole {
	r := recaller{f: h.f}
	return r.hole(name)
}

// replay remembers what the ops of a done step did.
func (h *oldHands) replay(s *plan.Step) {
	for i := range s.Ops {
		h.remember(&s.Ops[i])
	}
	h.phase = s.Phase
}

func (h *oldHands) remember(o *plan.Op) {
	c, _ := h.chordOf(o.Strand)
	switch o.Op {
	case plan.Mount:
		h.mounted[o.Support] = true
	case plan.Thread, plan.Weave:
		after := h.tailOf(o.After, h.holeOf(o.From))
		if !after.none() {
			h.lead(maker{strand: c.Strand}, after.hole, h.holeOf(o.From))
		}
		h.laid(c, h.holeOf(o.From), h.holeOf(o.To), after)
	case plan.Pull:
		h.tight[c.Strand] = true
	case plan.Slacken:
		delete(h.tight, c.Strand)
	case plan.Grab:
		h.clamps[o.Clamp] = plan.Grip{Strand: o.Strand, Hole: o.Hole, Outside: o.Outside}
	case plan.Unclamp:
		delete(h.clamps, o.Clamp)
	case plan.Tie:
		h.knot(tail{c.Strand, h.holeOf(o.Out)}, h.holeOf(o.Hole))
	case plan.Untie:
		h.untied(tail{c.Strand, h.holeOf(o.Out)})
	case plan.Unthread, plan.Unweave:
		h.taken(c)
	case plan.Cut:
		for name, g := range h.clamps {
			if g.Strand == o.Strand {
				delete(h.clamps, name) // it came away with the strand
			}
		}
		h.gone(c)
	case plan.Fault:
		h.fault(o)
	}
}

// tailOf is the free end of a strand that string laid next goes on from: the one nearer to a hole.
func (h *oldHands) tailOf(name plan.Strand, to patterns.Hole) (best tail) {
	for t, free := range h.tails {
		if free && strand(t.strand) == name && (best.none() || h.away(t.hole, to) < h.away(best.hole, to)) {
			best = t
		}
	}
	return best
}

// away is how many places round the hoop two holes are apart.
func (h *oldHands) away(a, b patterns.Hole) int {
	d := h.f.Pos(a) - h.f.Pos(b)
	if d < 0 {
		d = -d
	}
	return min(d, h.f.Total()-d)
}

// knot remembers a tail tied in a hole.
func (h *oldHands) knot(t tail, hole patterns.Hole) {
	h.lead(maker{t.strand, t.hole}, t.hole, hole)
	h.knots[hole] = true
	h.knotOf[t] = hole
	delete(h.tails, t)
}

// taken forgets a strand that was drawn back out; the string that it came from hangs free again.
func (h *oldHands) taken(c patterns.Chord) {
	before, start := h.before[c.Strand], tail{c.Strand, h.entry[c.Strand]}
	hole, tied := h.knotOf[start]
	if h.gone(c); tied { // a starting knot stays and holds the string again
		h.knot(start, hole)
	}
	if !before.none() {
		h.tails[before] = true
	}
}

// gone forgets a strand that is not in the frame any more, its knots too.
func (h *oldHands) gone(c patterns.Chord) {
	delete(h.tight, c.Strand)
	delete(h.runs, maker{strand: c.Strand})
	for _, e := range c.Ends {
		h.left[e]++
		t := tail{c.Strand, e}
		h.untied(t)
		delete(h.tails, t)
		kept := h.through[e][:0]
		for _, s := range h.through[e] {
			if s != c.Strand {
				kept = append(kept, s)
			}
		}
		h.through[e] = kept
	}
	delete(h.entry, c.Strand)
	delete(h.exit, c.Strand)
	for t, hole := range h.knotOf { // a starting knot falls with the main that it sits on
		if _, laid := h.exit[t.strand]; !laid && (hole == c.Ends[0] || hole == c.Ends[1]) {
			h.untied(t)
		}
	}
	delete(h.before, c.Strand)
}

// untied forgets the knot of a tail, if it has one.
func (h *oldHands) untied(t tail) {
	if hole, tied := h.knotOf[t]; tied {
		delete(h.knots, hole)
		delete(h.knotOf, t)
		delete(h.runs, maker{t.strand, t.hole})
	}
}
