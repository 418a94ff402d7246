package sequence

import (
	"cmp"
	"slices"
	"strings"

	"pullcard/sequence/plan"
)

// goOn writes the steps of the plan without mishaps that are not done or do not count any more, in their order.
func (r *recovery) goOn() error {
	base := map[int]*plan.Step{}
	for i := range r.p.Steps {
		// What was laid before is not laid once more, so only the first writing of a step is complete.
		if s := &r.p.Steps[i]; s.Base > 0 && base[s.Base] == nil {
			base[s.Base] = s
		}
	}
	var todo []*plan.Step
	for n, s := range base {
		if !r.effective[n] {
			todo = append(todo, s)
		}
	}
	slices.SortFunc(todo, func(a, b *plan.Step) int { return cmp.Compare(a.Base, b.Base) })
	for _, s := range todo {
		if err := r.again(s); err != nil {
			return err
		}
	}
	return nil
}

// again writes a step anew: what is laid stays laid, covered holes and tie-off holes are worked out as things are now.
func (r *recovery) again(s *plan.Step) error {
	r.phase = s.Phase
	r.begin(s.Title)
	r.steps[len(r.steps)-1].Base = s.Base
	var knot tail
	for i := range s.Ops {
		o := &s.Ops[i]
		c, _ := r.chordOf(o.Strand)
		switch o.Op {
		case plan.Thread, plan.Weave:
			if _, in := r.exit[c.Strand]; !in {
				r.lay(o.Piece, c, r.holeOf(o.From), r.tailOf(o.After, r.holeOf(o.From)))
			}
		case plan.Pull:
			r.pull(c.Strand, r.holeOf(o.Hole), o.BoostPercent > 0, o.Repull)
		case plan.Grab:
			if g := r.clamps[o.Clamp]; g != (plan.Grip{Strand: o.Strand, Hole: o.Hole, Outside: o.Outside}) {
				r.grip(o.Clamp, c.Strand, r.holeOf(o.Hole), o.Outside)
			}
		case plan.Unclamp:
			r.ungrip(o.Clamp)
		case plan.Tie:
			knot = tail{c.Strand, r.holeOf(o.Out)}
			if err := r.tie(knot, o.Knot); err != nil {
				return err
			}
		case plan.Trim:
			r.trim(knot)
		case plan.Note:
			if !generated(o.Text) {
				r.note(o.Text)
			}
		default:
			r.op(*o)
		}
	}
	r.oldHands.end()
	return nil
}

// generated says whether a note comes with the laying of a strand, which writes it anew.
func generated(note string) bool {
	return strings.HasPrefix(note, hardWeave) || strings.HasPrefix(note, scrap)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
