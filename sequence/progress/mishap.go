package progress

import (
	"fmt"
	"reflect"
	"slices"

	"pullcard/sequence/plan"
)

// follows says why a plan cannot be followed from here on: it must begin with the steps that are done.
func (s State) follows(e Event) error {
	p := e.Plan
	if s.Detour() {
		return fmt.Errorf("%s does not fit: step %d is being done again; finish it or go back first", e.Kind, s.Current())
	}
	if p == nil || len(p.Steps) == 0 {
		return fmt.Errorf("%s does not fit: it has no plan with steps", e.Kind)
	}
	if p == s.plan {
		return fmt.Errorf("%s does not fit: its plan is the one that is followed already", e.Kind)
	}
	if len(p.Steps) < s.Last() {
		return fmt.Errorf("%s does not fit: its plan has %d steps, but %d are done", e.Kind, len(p.Steps), s.Last())
	}
	for i := range s.Last() {
		if was := &s.plan.Steps[i]; !same(was, &p.Steps[i]) {
			return fmt.Errorf("%s does not fit: step %d of its plan is not %q as it was done", e.Kind, i+1, was.Title)
		}
	}
	return nil
}

// same says whether two steps have the same title and the same ops.
func same(a, b *plan.Step) bool {
	return a.Title == b.Title && slices.EqualFunc(a.Ops, b.Ops, sameOp)
}

// sameOp compares two ops in all fields. A plan that was written down and read may have an empty list where there was none, and the other way round.
func sameOp(a, b plan.Op) bool {
	if !slices.Equal(a.Blocked, b.Blocked) || !slices.Equal(a.Covers, b.Covers) || !slices.Equal(a.Strands, b.Strands) {
		return false
	}
	a.Blocked, a.Covers, a.Strands, b.Blocked, b.Covers, b.Strands = nil, nil, nil, nil, nil, nil
	return reflect.DeepEqual(&a, &b)
}

func (s State) mishap(p *plan.Plan) State {
	next := s
	next.before = &s
	next.plan = p
	if n := s.Last(); n < len(p.Steps) && p.Steps[n].Record {
		next.front++ // it says what has happened already
	}
	next.redos = slices.Clone(s.redos[:min(len(s.redos), s.Last()+1)]) // of the steps that both plans have
	return next
}
