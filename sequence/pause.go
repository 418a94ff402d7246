package sequence

import (
	"fmt"
	"slices"

	"pullcard/sequence/plan"
)

// pause parts the step in hand in two where the work was interrupted: what was done of it, which is written down, and the rest of it.
// Nothing else of the plan changes.
func pause(p *plan.Plan, done int, t Trouble) (*plan.Plan, error) {
	if done < 0 || done >= len(p.Steps) || t.Ops < 1 || t.Ops >= len(p.Steps[done].Ops) {
		return nil, fmt.Errorf("%s: done=N says how many ops of the step in hand are done, at least one and not all", t.Words())
	}
	was, rest := p.Steps[done], p.Steps[done]
	was.Title += ": " + t.Words()
	was.Ops = append(slices.Clone(was.Ops[:t.Ops]), t.op())
	was.Base, was.Record, was.Clamps = 0, true, p.AfterOps(done, t.Ops).Grips()
	rest.Ops = rest.Ops[t.Ops:]
	return instead(*p, slices.Concat(p.Steps[:done], []plan.Step{was, rest}, p.Steps[done+1:])), nil
}

// instead is a plan with other steps.
func instead(p plan.Plan, steps []plan.Step) *plan.Plan {
	p.Steps = steps
	for i := range p.Steps {
		p.Steps[i].N = i + 1
	}
	p.Plan = p.Fingerprint()
	return &p
}
