package schedule

import (
	"time"

	"pullcard/sequence/plan"
)

// mark is when a step was done: after how much of the time that elapsed, which no clock turns back, and at what time.
type mark struct {
	after time.Duration
	at    time.Time
}

// bare goes through the steps that are done in the end, of which marks says when, and finds out how long the mains stood
// without crosses; it comes to the racket as it is then.
func (w *Work) bare(p *plan.Plan, marks []mark) *plan.Racket {
	r := plan.NewRacket(&p.Terms)
	var since *mark
	for i := range marks {
		r.ApplyAll(p.Steps[i].Ops)
		switch bare := standsBare(r); {
		case bare && since == nil:
			since = &marks[i]
		case !bare && since != nil:
			w.WithoutCrosses = max(w.WithoutCrosses, marks[i].after-since.after)
			since = nil
		}
	}
	if since != nil {
		w.WithoutCrosses = max(w.WithoutCrosses, w.Elapsed-since.after)
		w.Bare = since.at
	}
	return r
}

// standsBare says whether there are mains, all of them are tight and no cross is.
func standsBare(r *plan.Racket) bool {
	mains := false
	spans := r.Spans()
	for i := range spans { // which are long to copy
		main := spans[i].Strand.IsMain()
		if mains = mains || main; main != spans[i].Tight {
			return false
		}
	}
	return mains
}
