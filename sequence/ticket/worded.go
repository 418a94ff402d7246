package ticket

import (
	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// wording puts the steps of a plan into words, one after the other.
type wording struct {
	plan  *plan.Plan
	table *act.Table
	at    *plan.Racket
	cuts  map[plan.Piece]act.Length
}

func newWording(p *plan.Plan, cuts map[plan.Piece]act.Length) *wording {
	return &wording{p, act.Written(), plan.NewRacket(&p.Terms), cuts}
}

// acts are the acts of the next step.
func (w *wording) acts(s *plan.Step) []act.Act {
	acts := act.Of(w.plan, s.N, w.at)
	_ = w.at.ApplyAll(s.Ops)
	if w.cuts != nil {
		act.AddLengths(acts, w.cuts)
	}
	return acts
}

// step are the lines of the next step: each act with what to know before it and with it.
func (w *wording) step(s *plan.Step) (out []worded) {
	for _, a := range w.acts(s) {
		for _, text := range a.Warn {
			out = append(out, worded{"! " + w.table.Text(text), false})
		}
		out = append(out, worded{w.table.Line(&a), a.Pulls()})
		for _, text := range a.Notes {
			out = append(out, worded{w.table.Text(text), false})
		}
	}
	return out
}

// worded is a line of a step.
type worded struct {
	text  string
	pulls bool
}

// listed is an op of a step with its words, or an act that is none, with an op that says nothing but where.
type listed struct {
	op    plan.Op
	words string
}

// rows are the acts of the next step, op by op.
func (w *wording) rows(s *plan.Step) (out []listed) {
	for _, a := range w.acts(s) {
		if a.Ops == 0 {
			out = append(out, listed{plan.Op{Strand: a.Strand, Hole: a.To}, w.table.Line(&a)})
		}
		for _, o := range s.Ops[a.First : a.First+a.Ops] {
			words := w.table.Line(&a)
			if o.Text != "" && a.Ops > 1 {
				words = w.table.Text(o.Text)
			}
			out = append(out, listed{o, words})
		}
	}
	return out
}
