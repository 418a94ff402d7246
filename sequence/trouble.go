package sequence

import (
	"fmt"

	"pullcard/patterns"
	"pullcard/sequence/plan"
)

// Trouble is something that went wrong at the bench.
type Trouble struct {
	Fault  plan.Mishap
	Strand plan.Strand // the strand that it happened to, where there is one
	Hole   plan.Hole   // the hole of a knot or a split tie-off hole
	Text   string      // in words
}

// Troubles lists what can have gone wrong with a job of which the first done steps are done, kind by kind, the newest
// first. While string is being cut out, and once the frame is cracked, there is only the frame.
func Troubles(p *plan.Plan, done int) []Trouble {
	h, err := after(p, done)
	if err != nil {
		return nil
	}
	laid, pulled := h.newest(p, done)
	var out []Trouble
	add := func(f plan.Mishap, s plan.Strand, hole plan.Hole, format string, args ...any) {
		out = append(out, Trouble{f, s, hole, fmt.Sprintf(format, args...)})
	}
	if cutting(p, done) || p.Cracked() {
		add(plan.FaultFrame, "", "", "the frame is cracked")
		return out
	}
	for _, s := range pulled {
		add(plan.FaultLate, s, "", "%s slipped, found late", s)
	}
	for _, s := range laid {
		if s[0] == 'C' {
			add(plan.FaultWeave, s, "", "%s is woven wrong", s)
		}
	}
	for _, s := range laid {
		c, _ := h.chordOf(s)
		for _, right := range []patterns.Hole{h.exit[c.Strand], h.entry[c.Strand]} {
			for _, wrong := range h.beside(right) {
				add(plan.FaultHole, s, h.name(wrong), "%s is in %s instead of %s", s, h.name(wrong), h.name(right))
			}
		}
	}
	h.broken(laid, add)
	for _, c := range h.chords() {
		for _, e := range c.Ends {
			if hole, tied := h.knotOf[tail{c.Strand, e}]; tied {
				add(plan.FaultKnot, strand(c.Strand), h.name(hole), "the knot of %s in %s slipped or its tail is too short", c.Strand, h.name(hole))
			}
		}
	}
	for _, hole := range h.tieHoles() {
		add(plan.FaultSplit, "", hole, "tie-off hole %s is split", hole)
	}
	add(plan.FaultFrame, "", "", "the frame is cracked")
	return out
}

// beside are the holes next to a hole on its side, where string goes by mistake.
func (h *oldHands) beside(hole patterns.Hole) (out []patterns.Hole) {
	for _, n := range []int{hole.N + 1, hole.N - 1} {
		if n >= 1 && n <= h.f.Holes[hole.Side] {
			out = append(out, patterns.Hole{Side: hole.Side, N: n})
		}
	}
	return out
}

// newest are the strands that lie in the frame and those that are tight, the newest first.
func (h *oldHands) newest(p *plan.Plan, done int) (laid, pulled []plan.Strand) {
	seen := map[plan.Strand]bool{}
	tight := map[plan.Strand]bool{}
	for i := done - 1; i >= 0; i-- {
		ops := p.Steps[i].Ops
		for j := len(ops) - 1; j >= 0; j-- {
			o := &ops[j]
			c, ok := h.chordOf(o.Strand)
			if !ok {
				continue
			}
			if _, in := h.exit[c.Strand]; in && (o.Op == plan.Thread || o.Op == plan.Weave) && !seen[o.Strand] {
				seen[o.Strand] = true
				laid = append(laid, o.Strand)
			}
			if o.Op == plan.Pull && h.tight[c.Strand] && !tight[o.Strand] {
				tight[o.Strand] = true
				pulled = append(pulled, o.Strand)
			}
		}
	}
	return laid, pulled
}

// broken lists which string can have broken: the newest strand of each piece stands for it.
func (h *oldHands) broken(laid []plan.Strand, add func(plan.Mishap, plan.Strand, plan.Hole, string, ...any)) {
	said := map[byte]bool{}
	for _, s := range laid {
		piece := s[0]
		if h.t.Pieces == 1 {
			piece = 0
		}
		if !said[piece] {
			said[piece] = true
			name := map[byte]string{'M': "the mains", 'C': "the crosses", 0: "the string"}[piece]
			add(plan.FaultBreak, s, "", "%s broke", name)
		}
	}
}

// tieHoles names each tie-off hole once.
func (h *oldHands) tieHoles() (out []plan.Hole) {
	seen := map[plan.Hole]bool{}
	for _, list := range [2][]plan.Hole{h.names(h.f.TieMains), h.names(h.f.TieCrosses)} {
		for _, hole := range list {
			if !seen[hole] {
				seen[hole] = true
				out = append(out, hole)
			}
		}
	}
	return out
}
