package act

import (
	"strings"

	"pullcard/sequence/plan"
)

// isWarning says whether a note of the plan is of what must be known before hands move.
func isWarning(text string) bool {
	for _, begin := range []string{"leave a scrap", "hard weave", "face away", "eye protection", "face out", "clamp "} {
		if strings.HasPrefix(text, begin) {
			return true
		}
	}
	return false
}

// foretell says with a pull how much of its tail the knot needs that comes next.
func foretell(p *plan.Plan, n int, ops []plan.Op, acts []Act) []Act {
	knot := func(ops []plan.Op, s plan.Strand, out plan.Hole) *plan.Op {
		for i := range ops {
			if o := &ops[i]; o.Op == plan.Tie && o.Strand == s && o.Out == out {
				return o
			}
		}
		return nil
	}
	for i := range acts {
		a := &acts[i]
		if !a.Pulls() || a.Load && a.Bight {
			continue
		}
		o := knot(ops, a.Strand, a.To)
		for next := n; o == nil && next < min(n+2, len(p.Steps)); next++ {
			o = knot(p.Steps[next].Ops, a.Strand, a.To)
		}
		if o != nil {
			a.Knot, a.NeedMM = o.Knot, KnotNeedMM
		}
	}
	return acts
}

// What hands look at although no op asks for it; a plan's own words never change, so these are said when it is shown.
const (
	lookClamps   = "the clamps, tried on this string's gauge: each holds, none leaves a mark"
	lookSupports = "the supports again: each still touches, none presses"
	lookMains    = "the mains: none crossed outside, loops seated, knots tight"
)

// looks adds what is looked at between the kinds of work: the clamps on each new string before it is clamped, supports and
// mains before the first cross, the supports once more when all is strung.
func looks(p *plan.Plan, n int, before *plan.Racket, acts []Act) []Act {
	s := &p.Steps[n-1]
	if s.Base == 0 || s.Record {
		return acts
	}
	look := func(text string) Act { return Act{Verb: Look, Text: text} }
	if len(acts) > 0 && begins(before, s) {
		at := 0
		for at < len(acts) && (acts[at].Verb == Feed || acts[at].Verb == Weave || acts[at].Verb == DoubleBack || acts[at].Verb == Tie) {
			at++
		}
		acts = append(acts[:at:at], append([]Act{look(lookClamps)}, acts[at:]...)...)
	}
	if s.Phase == plan.PhaseCrosses && n > 1 && p.Steps[n-2].Phase == plan.PhaseMains && standsBare(before) {
		stop := []Act{look(lookSupports), look(lookMains)}
		for i := range stop {
			stop[i].Stop = true
		}
		acts = append(stop, acts...)
	}
	if s.Phase == plan.PhaseFinish && n > 1 && p.Steps[n-2].Phase != plan.PhaseFinish {
		acts = append(acts, look(lookSupports))
	}
	return acts
}

// begins says whether a step lays the first strand of a piece.
func begins(r *plan.Racket, s *plan.Step) bool {
	if o := s.Lay(); o != nil {
		for _, span := range r.Spans() {
			if span.Laid() && span.Piece == o.Piece {
				return false
			}
		}
		return true
	}
	return false
}

// standsBare says whether there are mains that are tight, and no cross is laid.
func standsBare(r *plan.Racket) bool {
	tight := 0
	for _, s := range r.Spans() {
		switch main := s.Strand[0] == 'M'; {
		case main && s.Tight:
			tight++
		case !main && s.Laid():
			return false
		}
	}
	return tight > 0
}
