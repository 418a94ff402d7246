package bench

import "pullcard/sequence/plan"

// lessons are what a demo says beside its steps: each thing once, where it is first seen. A step has one at most.
func lessons(p *plan.Plan) map[int]string {
	out := map[int]string{1: "space when your hands have done it; ⌫ takes it back; ? shows all keys"}
	for _, l := range []struct {
		seen func(*plan.Step) bool
		text string
	}{
		{func(s *plan.Step) bool { return s.Phase == plan.PhaseMount && s.N > 1 }, "← → look at other steps and change nothing; space leads back here"},
		{func(s *plan.Step) bool { return s.Lay() != nil }, "large: the strand, where it comes in and where it is pulled; M3L is the third main left of the centre, 3T the third hole from the throat"},
		{func(s *plan.Step) bool { return s.Pull() != nil }, "pull, then do with the clamps what the lines say; then space"},
		{func(s *plan.Step) bool { return s.Pull() != nil && s.N > 5 }, "something slipped? s says what to do again; v turns the picture as your frame lies; f is for reading from afar"},
		{func(s *plan.Step) bool { return s.Pull() != nil && s.Pull().BoostPercent > 0 }, "a pull before a knot is harder: the figure has the boost in it"},
		{func(s *plan.Step) bool { return s.Tie() != nil }, "tie beside the strand that is named, then the clamp comes off; a hole with ◇ will be covered soon"},
		{isWeave, "OVER or UNDER is how the cross passes the first main that it meets; the next cross is woven before this one is pulled"},
		{func(s *plan.Step) bool { return isWeave(s) && s.Lay().Strand != "C2" && s.Lay().Strand != "C1" }, "called away? q leaves; all is saved, and the next start asks whether the clamps stand as shown"},
		{func(s *plan.Step) bool { return s.Phase == plan.PhaseFinish }, "nothing is left in the clamps; look the bed over as the lines say"},
	} {
		for i := range p.Steps {
			s := &p.Steps[i]
			if _, taken := out[s.N]; !taken && l.seen(s) {
				out[s.N] = l.text
				break
			}
		}
	}
	return out
}

func isWeave(s *plan.Step) bool { return s.Lay() != nil && s.Lay().Op == plan.Weave }
