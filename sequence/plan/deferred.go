package plan

import (
	"slices"
	"strconv"
)

// Deferral is a strand that was begun and has to be finished later.
type Deferral struct {
	Strand Strand
	Hole   Hole // where it is finished
	Repull bool // it was pulled once; its tail is still to be pulled again and tied
	Step   int  // the step that finishes it
}

// String is "C1 at 7HL, pulled in step 61".
func (d Deferral) String() string {
	what := "pulled"
	if d.Repull {
		what = "pulled again and tied"
	}
	return string(d.Strand) + " at " + string(d.Hole) + ", " + what + " in step " + strconv.Itoa(d.Step)
}

// Deferred lists what is deferred when step n is over: a strand that is tight and whose tail the starting clamp holds until it
// is pulled again, and a slack one that is pulled after one that was laid later. After a skip start that clamp holds no tail,
// though the skipped cross may be out. What was tight and is slack is loose, not deferred.
func (p *Plan) Deferred(n int) (out []Deferral) {
	r := p.After(n)
	latest := 0 // of the strands pulled until then, the laying of the latest
	for _, s := range r.spans {
		if s.Tight {
			latest = max(latest, s.Nth)
		}
	}
	seen, now := map[Strand]bool{}, r.Clone()
	for i := n; i < len(p.Steps); i++ {
		o := p.Steps[i].Pull()
		if now.ApplyAll(p.Steps[i].Ops); o == nil {
			continue
		}
		s := r.Span(o.Strand)
		again := seen[o.Strand] || s.Laid() && now.Span(o.Strand).Nth != s.Nth // pulled before, or laid anew until then
		tail := o.Repull && s.Tight && p.Terms.Start != "skip" && r.tailWaits(Spot{o.Strand, o.Hole})
		if s.Laid() && !again && (tail || !s.Tight && !s.Loose) && s.Nth < latest {
			out = append(out, Deferral{o.Strand, o.Hole, tail, p.Steps[i].N})
		}
		seen[o.Strand] = true
		if latest = max(latest, s.Nth); !s.Laid() {
			latest = r.laid + 1
		}
	}
	return out
}

// tailWaits says whether the starting clamp holds the string where it comes to a strand, so that its tail is still to be
// finished.
func (r *Racket) tailWaits(at Spot) bool {
	g := r.Grip(S)
	start := r.Before(at.Strand) == Spot{} && r.At(at.Hole) == r.At(r.Span(at.Strand).In)
	return g != nil && start && !r.Span(at.Strand).Ended && r.Same(Spot{g.Strand, g.Hole}, at)
}

// Loose are the strands that are slack and were tight as they lie: what a mishap or a way back let go.
func (r *Racket) Loose() (out []Strand) {
	for i := range r.spans {
		if r.spans[i].Loose {
			out = append(out, r.spans[i].Strand)
		}
	}
	return out
}

// SlackUntil is the step by which none of some strands is slack any more, as each is tight or out by then; 0 for none.
func (p *Plan) SlackUntil(done int, slack []Strand) int {
	now := p.After(done)
	for n := done + 1; n <= len(p.Steps); n++ {
		_ = now.ApplyAll(p.Steps[n-1].Ops)
		if !slices.ContainsFunc(slack, func(s Strand) bool { return now.Laid(s) && !now.Tight(s) }) {
			return n
		}
	}
	return 0
}
