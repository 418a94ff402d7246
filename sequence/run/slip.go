package run

import (
	"slices"

	"pullcard/sequence/plan"
)

// Gripper is the name under which the gripper slips.
const Gripper = "gripper"

// Slip is something that can have slipped, and the step that then is to be done again.
type Slip struct {
	What    string      // Gripper or the name of a clamp
	Strand  plan.Strand // what it holds
	Hole    plan.Hole   // the hole beside which it holds
	Outside bool        // a clamp outside the hoop
	Step    int
}

// Where says where each clamp should stand now: where the last done step left it. A nil grip is a free clamp; the map
// is nil before the first step is done. It belongs to the plan and is not to be changed.
func Where(p *plan.Plan, s State) map[plan.Clamp]*plan.Grip {
	if s.Last() == 0 {
		return nil
	}
	return p.Steps[s.Last()-1].Clamps
}

// Slips lists what can have slipped: the gripper, and each clamp that stands, in the order in which clamps are shown.
//
// The gripper's step is the current one if it has a pull, otherwise the last done one if that has. A clamp's is the
// last done step that set it where it stands. There is none when the job is not open, for nothing then grips.
func Slips(p *plan.Plan, s State) []Slip {
	if s.Status() != Open {
		return nil
	}
	var out []Slip
	if pull, step := gripped(p, s); pull != nil {
		out = append(out, Slip{What: Gripper, Strand: pull.Strand, Hole: pull.Hole, Step: step})
	}
	stand := Where(p, s)
	for _, c := range plan.Clamps() {
		g := stand[c]
		if g == nil {
			continue
		}
		if step := setIn(p, s.Last(), c, *g); step > 0 {
			out = append(out, Slip{string(c), g.Strand, g.Hole, g.Outside, step})
		}
	}
	return out
}

func gripped(p *plan.Plan, s State) (*plan.Op, int) {
	for _, step := range []int{s.Current(), s.Last()} {
		if step == 0 {
			continue
		}
		if pull := p.Steps[step-1].Pull(); pull != nil {
			return pull, step
		}
	}
	return nil, 0
}

// setIn is the latest step up to last that set the clamp to the grip, 0 when none did.
func setIn(p *plan.Plan, last int, c plan.Clamp, g plan.Grip) int {
	for n := last; n > 0; n-- {
		for _, op := range p.Steps[n-1].Ops {
			if op.Op == plan.Grab && op.Clamp == c && grip(op) == g {
				return n
			}
		}
	}
	return 0
}

func grip(op plan.Op) plan.Grip {
	return plan.Grip{Strand: op.Strand, Hole: op.Hole, Outside: op.Outside}
}

// AgainOps lists what hands do when a step is done again. The string is laid and cut already, so nothing is threaded,
// woven or trimmed.
//
// Of a step that is not done yet the clamps move as planned. Of a done step only the clamps count that still stand
// where it set them: those set under the pull are taken off and set again while the gripper holds, those set before
// it are only made fast again, for nothing else may hold there. What the step took off is off already.
func AgainOps(p *plan.Plan, s State, step int) []plan.Op {
	ops := slices.DeleteFunc(slices.Clone(p.Steps[step-1].Ops), laid)
	if step > s.Last() {
		return ops
	}
	stand := Where(p, s)
	var out []plan.Op
	pulled := false
	for _, op := range ops {
		switch op.Op {
		case plan.Pull:
			pulled = true
		case plan.Unclamp:
			continue
		case plan.Grab:
			if g := stand[op.Clamp]; g == nil || *g != grip(op) {
				continue
			}
			if pulled {
				out = append(out, plan.Op{Op: plan.Unclamp, Clamp: op.Clamp})
			}
		}
		out = append(out, op)
	}
	return out
}

func laid(op plan.Op) bool {
	return op.Op == plan.Thread || op.Op == plan.Weave || op.Op == plan.Trim
}
