package sequence

import (
	"slices"

	"pullcard/sequence/plan"
)

// op says in a plan that it happened.
func (t Trouble) op() plan.Op {
	return plan.Op{Op: plan.Fault, Fault: t.Fault, Strand: t.Strand, Hole: t.Hole, Text: t.Text}
}

// lasts says whether it leaves a strand wrong that is put right by undoing what was done since.
func (t Trouble) lasts() bool {
	return t.Fault == plan.FaultLate || t.Fault == plan.FaultWeave || t.Fault == plan.FaultHole
}

// untold are the mishaps that were reported and whose step is not done yet: they are told with the next.
func untold(p *plan.Plan, done int) (out []plan.Op) {
	if done == len(p.Steps) {
		return nil
	}
	for _, o := range p.Steps[done].Ops {
		if o.Op == plan.Fault {
			out = append(out, o)
		}
	}
	return out
}

// pending are the mishaps whose strand is still wrong when the first done steps of a plan are done: it was not taken out
// since nor, after a slip found late, let go.
func pending(p *plan.Plan, done int) (out []Trouble) {
	for i := range p.Steps[:done] {
		for j := range p.Steps[i].Ops {
			out = follow(out, &p.Steps[i].Ops[j])
		}
	}
	for _, o := range untold(p, done) {
		out = follow(out, &o)
	}
	return out
}

// follow are the mishaps whose strand is wrong after an op, of those before it.
func follow(wrong []Trouble, o *plan.Op) []Trouble {
	switch o.Op {
	case plan.Fault:
		if t := (Trouble{o.Fault, o.Strand, o.Hole, o.Text}); t.lasts() && !slices.Contains(wrong, t) {
			return append(wrong, t)
		}
	case plan.Slacken, plan.Unthread, plan.Unweave, plan.Cut:
		return slices.DeleteFunc(wrong, func(t Trouble) bool {
			return t.Strand == o.Strand && (o.Op != plan.Slacken || t.Fault == plan.FaultLate)
		})
	}
	return wrong
}
