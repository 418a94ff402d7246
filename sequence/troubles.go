package sequence

import (
	"pullcard/sequence/plan"
)

// Troubles lists what can have gone wrong with a job of which the first done steps are done, kind by kind, the newest first.
func Troubles(p *plan.Plan, done int) (out []Trouble) {
	r := p.After(done)
	if r.Cracked() || dismounting(p, done, 0) {
		return []Trouble{{Fault: plan.FaultFrame}}
	}
	newest := r.Newest()
	each := func(which func(plan.Span) bool, of func(s plan.Span) []Trouble) {
		for _, s := range newest {
			if which(s) {
				out = append(out, of(s)...)
			}
		}
	}
	any := func(plan.Span) bool { return true }
	each(func(s plan.Span) bool { return s.Tight }, func(s plan.Span) []Trouble { return []Trouble{{Fault: plan.FaultLate, Strand: s.Strand}} })
	each(func(s plan.Span) bool { return s.Strand[0] == 'C' }, func(s plan.Span) []Trouble { return []Trouble{{Fault: plan.FaultWeave, Strand: s.Strand}} })
	each(any, func(s plan.Span) (wrong []Trouble) {
		for _, right := range []plan.Hole{s.Out, s.In} {
			for _, h := range neighbours(p, r, right) {
				wrong = append(wrong, Trouble{Fault: plan.FaultHole, Strand: s.Strand, Hole: h})
			}
		}
		return wrong
	})
	each(any, func(s plan.Span) []Trouble {
		return []Trouble{{Fault: plan.FaultBreak, Strand: s.Strand, Where: plan.InBed}}
	})
	for _, k := range r.Knots() {
		out = append(out, Trouble{Fault: plan.FaultKnot, Strand: k.Strand, Hole: k.Hole})
	}
	seen := map[plan.Hole]bool{}
	for _, list := range [2][]plan.Hole{p.Terms.TieMains, p.Terms.TieCrosses} {
		for _, h := range list {
			if !seen[h] {
				seen[h] = true
				out = append(out, Trouble{Fault: plan.FaultSplit, Hole: h})
			}
		}
	}
	return append(out, Trouble{Fault: plan.FaultFrame})
}

// neighbours are the holes next to a hole on its side, where string goes by mistake, as the terms name them.
func neighbours(p *plan.Plan, r *plan.Racket, h plan.Hole) (out []plan.Hole) {
	at := r.At(h)
	for _, next := range []int{at + 1, at - 1} {
		if next >= 1 && next <= r.Total() && r.Side(next) == r.Side(at) {
			out = append(out, holeName(p, r, next))
		}
	}
	return out
}

// holeName is a place's hole as a strand that ends there names it.
func holeName(p *plan.Plan, r *plan.Racket, place int) plan.Hole {
	for _, list := range [2][]plan.Chord{p.Terms.Mains, p.Terms.Crosses} {
		for _, c := range list {
			for _, e := range c.Ends {
				if r.At(e) == place {
					return e
				}
			}
		}
	}
	return ""
}
