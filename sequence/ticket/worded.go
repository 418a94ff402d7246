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
}

func newWording(p *plan.Plan) *wording { return &wording{p, act.Written(), plan.NewRacket(&p.Terms)} }

// acts are the acts of the next step.
func (w *wording) acts(s *plan.Step) []act.Act {
	acts := act.Of(w.plan, s.N, w.at)
	_ = w.at.ApplyAll(s.Ops)
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

// ops are the words of each op of the next step.
func (w *wording) ops(s *plan.Step) []string {
	out := make([]string, len(s.Ops))
	for _, a := range w.acts(s) {
		for i := a.First; i < a.First+a.Ops; i++ {
			if out[i] = w.table.Line(&a); s.Ops[i].Text != "" && a.Ops > 1 {
				out[i] = w.table.Text(s.Ops[i].Text)
			}
		}
	}
	return out
}
