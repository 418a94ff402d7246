package referee

import "pullcard/sequence/plan"

// Check plays a whole plan against its own terms and returns every breach in the order in which they happen; nil says
// that the plan is proven. Terms that describe no racket are reported alone, the steps are then not played.
func Check(p *plan.Plan) []Breach {
	return checkWithout(p, "")
}

func checkWithout(p *plan.Plan, mute string) []Breach {
	t, breaches := without(&p.Terms, mute)
	if t == nil {
		return breaches
	}
	return append(append(breaches, t.playAll(p.Steps)...), t.Finish(p.Totals)...)
}

// From plays the steps that were done and returns the table as it then stands, with the breaches on the way: what comes
// next can be proven from the state that the racket is really in. When the terms describe no racket the table is nil
// and the breaches say why. The terms must not change while the table is used.
func From(terms *plan.Terms, steps []plan.Step) (*Table, []Breach) {
	t, breaches := New(terms)
	if t == nil {
		return nil, breaches
	}
	return t, t.playAll(steps)
}

// playAll plays steps.
func (t *Table) playAll(steps []plan.Step) (breaches []Breach) {
	for i := range steps {
		breaches = append(breaches, t.Step(&steps[i])...)
	}
	return breaches
}
