package sequence

import (
	"pullcard/patterns"
	"pullcard/patterns/measure"
	"pullcard/sequence/plan"
)

// Build makes the plan of a frame by a technique at the tensions of mains and crosses, as that of a job that says nothing else.
func Build(f *patterns.Frame, t *Technique, mains, crosses measure.Tension) (*plan.Plan, error) {
	if problems := fits(f, t); len(problems) > 0 {
		return nil, problems
	}
	return build(f, t, newOrders(mains, crosses, t.Boost), [2]float64{})
}
