package run

import (
	"iter"
	"slices"

	"pullcard/sequence/plan"
)

// AgainOps lists what hands do when a step is done again. The string is laid and cut already, so nothing is threaded,
// woven or trimmed.
//
// Of a step that is not done yet the rest is as planned. Of a done step only the clamps count that still stand where it
// set them; what it took off or drew out is so already. Clamps set under its own pull are set again under a re-pull.
// One set without a pull holds something only since a later pull: it is then set again under a re-pull of the string that
// it holds, where it stands, and left alone when the redo that made the step current names another clamp.
func AgainOps(s State, step int) []plan.Op {
	ops := slices.DeleteFunc(slices.Clone(s.plan.Steps[step-1].Ops), laid)
	if step > s.Last() {
		return ops
	}
	var out []plan.Op
	own, pulled, what := s.ownClamps(step), false, s.slipped(step)
	for _, op := range ops {
		switch op.Op {
		case plan.Pull, plan.Straighten, plan.Release:
			if len(own) == 0 {
				continue // another strand's pull holds by now what this one held
			}
			if op.Op == plan.Pull {
				pulled, op.Repull = true, true
				out = append(append(out, op), own...) // a clamp between gripper and string keeps the pull from it
				continue
			}
		case plan.Grab:
			switch under := slices.ContainsFunc(own, func(o plan.Op) bool { return o.Clamp == op.Clamp }); {
			case !s.stands(op):
				continue
			case under:
			case what != "" && op.Clamp != what:
				continue
			case len(own) > 0 && !pulled:
				out = append(out, plan.Op{Op: plan.Unclamp, Clamp: op.Clamp})
			default:
				out = append(out, s.setAgain(op)...)
				continue
			}
		case plan.Unclamp, plan.Fault, plan.Slacken, plan.Unthread, plan.Unweave, plan.Untie, plan.Cut:
			continue
		}
		out = append(out, op)
	}
	return out
}

func laid(op plan.Op) bool {
	return op.Op == plan.Thread || op.Op == plan.Weave || op.Op == plan.Trim
}

// ownClamps takes the clamps off that still stand where a done step set them under its own pull, if its strand is tight
// by that pull still.
func (s State) ownClamps(step int) (off []plan.Op) {
	own := s.plan.Steps[step-1].Pull()
	if own == nil || s.tight(own.Strand, step) != own {
		return nil
	}
	for _, op := range s.plan.Steps[step-1].Ops {
		if op.Op == plan.Grab && beside(op, *own) && s.stands(op) {
			off = append(off, plan.Op{Op: plan.Unclamp, Clamp: op.Clamp})
		}
	}
	return off
}

// stands says whether a clamp is still where an op set it.
func (s State) stands(grab plan.Op) bool {
	g := Where(s)[grab.Clamp]
	return g != nil && *g == grip(grab)
}

// beside says whether two ops take the same strand at the same hole.
func beside(a, b plan.Op) bool { return a.Strand == b.Strand && a.Hole == b.Hole }

// set takes a clamp off and sets it where it stood.
func set(grab plan.Op) []plan.Op {
	return []plan.Op{{Op: plan.Unclamp, Clamp: grab.Clamp}, grab}
}

// setUnder sets a clamp again under a re-pull of its strand where it stands.
func setUnder(pull, grab plan.Op) []plan.Op {
	pull.Hole, pull.Repull = grab.Hole, true
	return append(append([]plan.Op{pull}, set(grab)...), plan.Op{Op: plan.Release})
}

// setAgain sets a clamp again that was not set under a pull of its strand. Another one in its place keeps the tension
// meanwhile. One on a slack strand at the start of a piece may hold the strand on the other side of its loop: that is
// pulled again, at its own clamp, once there is something to pull against.
func (s State) setAgain(grab plan.Op) []plan.Op {
	var others []plan.Op
	for _, c := range plan.Clamps() {
		if g := Where(s)[c]; g != nil && c != grab.Clamp {
			others = append(others, plan.Op{Op: plan.Grab, Clamp: c, Strand: g.Strand, Hole: g.Hole, Outside: g.Outside})
		}
	}
	if slices.ContainsFunc(others, func(o plan.Op) bool { return beside(o, grab) }) {
		return set(grab)
	}
	if pull := s.tight(grab.Strand, 1); pull != nil {
		return setUnder(*pull, grab)
	}
	for _, o := range others {
		if pull := s.tight(o.Strand, 1); pull != nil && s.laidFrom(o.Strand) == grab.Strand {
			return append(set(grab), setUnder(*pull, o)...)
		}
	}
	return set(grab)
}

// tight is the first pull since a step that made a strand tight for good; nil when there is none or the strand was let go
// after all.
func (s State) tight(strand plan.Strand, since int) (pull *plan.Op) {
	for op := range s.opsOn(strand, since) {
		switch op.Op {
		case plan.Pull:
			if pull == nil {
				pull = op
			}
		case plan.Slacken, plan.Unthread, plan.Unweave, plan.Cut:
			pull = nil
		}
	}
	return pull
}

// laidFrom is the strand whose tail a strand was laid with, empty at the start of a piece.
func (s State) laidFrom(strand plan.Strand) (after plan.Strand) {
	for op := range s.opsOn(strand, 1) {
		if op.Op == plan.Thread || op.Op == plan.Weave {
			after = op.After
		}
	}
	return after
}

// opsOn are the ops on a strand that are done since a step, in their order.
func (s State) opsOn(strand plan.Strand, since int) iter.Seq[*plan.Op] {
	return func(yield func(*plan.Op) bool) {
		for n := since; n <= s.Last(); n++ {
			ops := s.plan.Steps[n-1].Ops
			for j := range ops {
				if ops[j].Strand == strand && !yield(&ops[j]) {
					return
				}
			}
		}
	}
}
