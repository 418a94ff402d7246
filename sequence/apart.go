package sequence

import (
	"slices"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
)

// apart parts the steps of a way back so that each is one act: a card with one thing on it cannot be done halfway, and what was
// done of it is in the book. The gripper may pull on from one such step to the next. The racket is as it is before the first.
func apart(steps []plan.Step, before *plan.Racket) (out []plan.Step) {
	r, last := before.Clone(), 0
	whole := func(s plan.Step) bool { return s.Base > 0 || s.Record }
	for i, s := range steps {
		if !whole(s) {
			last = i
		}
	}
	for i, s := range steps {
		if i > last {
			return append(out, steps[i:]...)
		}
		if whole(s) {
			_ = r.ApplyAll(s.Ops) // they were applied when they were written
			out = append(out, s)
			continue
		}
		for _, ops := range act.Group(s.Ops) {
			_ = r.ApplyAll(ops)
			one := s
			one.Ops, one.Clamps = slices.Clone(ops), r.Grips()
			out = append(out, one)
		}
	}
	return out
}
