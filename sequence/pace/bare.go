package pace

import (
	"strings"
	"time"

	"pullcard/sequence/plan"
	"pullcard/sequence/run"
)

// mark is when a step was done: after how much of the time that elapsed, which no clock turns back, and at what time.
type mark struct {
	after time.Duration
	at    time.Time
}

// bare goes through the steps that are done in the end, of which marks says when, and finds out how long the mains stood
// without crosses.
func (w *Work) bare(s run.State, marks []mark) {
	p := s.Plan()
	h := hoop{}
	var since *mark
	for i := range marks {
		for j := range p.Steps[i].Ops {
			h.do(&p.Steps[i].Ops[j], p.Terms.Pieces)
		}
		bare := h.mains() == len(p.Terms.Mains) && h.mains() == len(h) && len(h) > 0
		if bare && since == nil {
			since = &marks[i]
		} else if !bare && since != nil {
			w.WithoutCrosses = max(w.WithoutCrosses, marks[i].after-since.after)
			since = nil
		}
	}
	if since != nil {
		w.WithoutCrosses = max(w.WithoutCrosses, w.Elapsed-since.after)
		w.Bare = since.at
	}
}

// hoop holds the strands that are tight.
type hoop map[plan.Strand]bool

func (h hoop) mains() (n int) {
	for s := range h {
		if isMain(s) {
			n++
		}
	}
	return n
}

func isMain(s plan.Strand) bool { return strings.HasPrefix(string(s), "M") }

func (h hoop) do(o *plan.Op, pieces int) {
	switch {
	case o.Op == plan.Pull:
		h[o.Strand] = true
	case o.Op == plan.Slacken:
		delete(h, o.Strand)
	case o.Op == plan.Cut, o.Op == plan.Fault && o.Fault == plan.FaultBreak:
		for s := range h { // the whole piece loses its tension
			if pieces == 1 || isMain(s) == isMain(o.Strand) {
				delete(h, s)
			}
		}
	}
}
