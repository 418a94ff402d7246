package referee

import "pullcard/sequence/plan"

// Check plays a whole plan against its own terms and returns every breach in the order in which they happen; nil says
// that the plan is proven. Terms that describe no racket are reported alone, the steps are then not played.
func Check(p *plan.Plan) []Breach {
	t, breaches := New(&p.Terms)
	if t == nil {
		return breaches
	}
	for i := range p.Steps {
		breaches = append(breaches, t.Step(&p.Steps[i])...)
	}
	return append(breaches, t.Finish(p.Totals)...)
}
