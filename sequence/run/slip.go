package run

import "pullcard/sequence/plan"

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
func Where(s State) map[plan.Clamp]*plan.Grip {
	if s.Last() == 0 {
		return nil
	}
	return s.plan.Steps[s.Last()-1].Clamps
}

// Slips lists what can have slipped: the gripper, and each clamp that stands, in the order in which clamps are shown.
//
// The gripper's step is the current one if it has a pull, otherwise the last done one if that has and its strand was not
// let go since. A clamp's is the last done step that set it where it stands. There is none when the job is not open, for
// nothing then grips, and none while string is cut out, for that is not put right any more.
func Slips(s State) []Slip {
	if s.Status() != Open || s.cutting() {
		return nil
	}
	var out []Slip
	if pull, step := gripped(s); pull != nil {
		out = append(out, Slip{What: Gripper, Strand: pull.Strand, Hole: pull.Hole, Step: step})
	}
	stand := Where(s)
	for _, c := range plan.Clamps() {
		g := stand[c]
		if g == nil {
			continue
		}
		if step := setIn(s, c, *g); step > 0 {
			out = append(out, Slip{string(c), g.Strand, g.Hole, g.Outside, step})
		}
	}
	return out
}

// cutting says whether the next thing that hands do with the string is to cut it out.
func (s State) cutting() bool {
	for _, step := range s.plan.Steps[s.Last():] {
		for _, op := range step.Ops {
			switch op.Op {
			case plan.Cut:
				return true
			case plan.Thread, plan.Weave, plan.Pull, plan.Tie:
				return false
			}
		}
	}
	return false
}

func gripped(s State) (*plan.Op, int) {
	for _, step := range []int{s.Current(), s.Last()} {
		if step == 0 {
			continue
		}
		if pull := s.plan.Steps[step-1].Pull(); pull != nil && (step > s.Last() || s.tight(pull.Strand, 1) != nil) {
			return pull, step
		}
	}
	return nil, 0
}

// setIn is the latest done step that set the clamp to the grip, 0 when none did.
func setIn(s State, c plan.Clamp, g plan.Grip) int {
	for n := s.Last(); n > 0; n-- {
		for _, op := range s.plan.Steps[n-1].Ops {
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
