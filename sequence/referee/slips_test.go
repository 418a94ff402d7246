package referee

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// both are the referee's table and the state that everybody else reads, which share no code, at the same point of a plan.
type both struct {
	table  *Table
	racket *plan.Racket
}

func (b both) clone() both { return both{b.table.Clone(), b.racket.Clone()} }

// same does an op to both and holds that they say the same of every strand, clamp and hole, and of the corners that hold string.
func (b both) same(t *testing.T, what string, op plan.Op) bool {
	b.table.Step(&plan.Step{Phase: plan.PhaseCrosses, Ops: []plan.Op{op}})
	if b.racket.Apply(&op) != nil {
		return false
	}
	corners := 0
	for e := range b.table.ends {
		if b.table.ends[e].corner {
			corners++
		}
	}
	return assert.Empty(t, b.table.View(nil).Differs(b.racket), what) && assert.Len(t, b.racket.Corners(), corners, what)
}

// may does an op to the table and says whether that has nothing against it.
func (b both) may(phase plan.Phase, op plan.Op) bool {
	return !slices.ContainsFunc(b.table.Step(&plan.Step{Phase: phase, Ops: []plan.Op{op}}), func(x Breach) bool { return x.Op > 0 })
}

// Whatever slips, at whichever limit of walking slack out and wherever one more clamp stands, referee and state hold the same of it:
// a knot that comes open under the tension of its line, each clamp, the gripper; and of the pull that draws it tight again, from the tail
// of the strand and through a corner or up to what holds.
func TestSlipsAreSeenAlike(t *testing.T) {
	limits := []*plan.Walk{nil, {}, {Mains: 1, Crosses: 1}, {Mains: 2, Crosses: 3}, {Mains: 3, Crosses: 2}}
	for _, name := range []string{"clamp L head ahead", "knot R throat in turn", "skip L throat ahead", "one piece ahead"} {
		sample := find(t, samples(t), name)
		for _, limit := range limits {
			p := *sample
			p.Terms.Walk = limit
			b := both{}
			b.table, _ = New(&p.Terms)
			b.racket = plan.NewRacket(&p.Terms)
			knots := 0
			for n := range p.Steps {
				b.table.Step(&p.Steps[n])
				b.racket.ApplyAll(p.Steps[n].Ops)
				if len(b.racket.Knots()) == knots || t.Failed() {
					continue
				}
				knots = len(b.racket.Knots())
				for _, k := range b.racket.Knots() {
					slip := plan.Op{Op: plan.Fault, Fault: plan.FaultKnot, Strand: k.Strand, Hole: k.Hole, Text: "it slipped"}
					pull := plan.Op{Op: plan.Pull, Strand: k.Strand, Hole: k.Out, Repull: true}
					alone := b.clone()
					_ = alone.same(t, name+": a knot slips", slip) && alone.same(t, name+": it is pulled again", pull)
					for _, s := range b.racket.Line(k.Strand) {
						for _, h := range []plan.Hole{b.racket.Span(s).In, b.racket.Span(s).Out} {
							c := b.clone()
							on := plan.Op{Op: plan.ClampOn, Clamp: plan.B, Strand: s, Hole: h}
							_ = c.same(t, name+": off", plan.Op{Op: plan.Unclamp, Clamp: plan.B}) && c.same(t, name+": on", on) && c.same(t, name+": a knot slips", slip) &&
								c.same(t, name+": it is pulled again", pull) && c.same(t, name+": off", plan.Op{Op: plan.Unclamp, Clamp: plan.B}) &&
								c.same(t, name+": the gripper slips", plan.Op{Op: plan.Fault, Fault: plan.FaultGripper, Text: "it slipped"})
						}
					}
				}
			}
		}
	}
}

// Whatever goes wrong at any op of a plan and is possible then, referee and state hold the same of it, and of what is done next: a clamp
// comes off, the strand is cut, drawn tight again or left as it is.
func TestMishapsAreSeenAlike(t *testing.T) {
	seen := map[plan.Mishap]int{}
	for _, name := range []string{"clamp R head in turn", "skip L head ahead"} {
		p := find(t, samples(t), name)
		b := both{racket: plan.NewRacket(&p.Terms)}
		b.table, _ = New(&p.Terms)
		for n := range p.Steps {
			for i, op := range p.Steps[n].Ops {
				b.table.Step(&plan.Step{Phase: p.Steps[n].Phase, Ops: []plan.Op{op}})
				_ = b.racket.Apply(&op)
				if !sweep.Take(n+i, 7) || t.Failed() { // at a share of the ops
					continue
				}
				for _, mishap := range mishaps(b.racket) {
					c := b.clone()
					if !c.may(p.Steps[n].Phase, mishap) {
						continue // it cannot have happened
					}
					seen[mishap.Fault]++
					_ = c.racket.Apply(&mishap)
					if d := c.table.View(nil).Differs(c.racket); !assert.Empty(t, d, "%s, step %d, op %d: %+v", name, n+1, i+1, mishap) {
						continue
					}
					for _, next := range after(c.racket, mishap.Strand) {
						d := c.clone()
						if d.may(p.Steps[n].Phase, next) && d.racket.Apply(&next) == nil {
							seen[plan.Mishap(next.Op)]++
							assert.Empty(t, d.table.View(nil).Differs(d.racket), "%s, step %d, op %d: %+v, then %+v", name, n+1, i+1, mishap, next)
						}
					}
				}
			}
		}
	}
	for _, m := range []plan.Mishap{plan.FaultClamp, plan.FaultGripper, plan.FaultBreak, plan.FaultWeave, plan.FaultKink, plan.FaultLate, plan.FaultHole, plan.FaultKnot} {
		assert.Positive(t, seen[m], m)
	}
}

// mishaps are some that a racket may have.
func mishaps(r *plan.Racket) (out []plan.Op) {
	fault := func(kind plan.Mishap) plan.Op {
		return plan.Op{Op: plan.Fault, Fault: kind, Text: "something went wrong"}
	}
	for _, c := range plan.Clamps() {
		for _, extent := range []plan.Extent{plan.Crept, plan.Base, plan.Gone} {
			o := fault(plan.FaultClamp)
			o.Clamp, o.Extent = c, extent
			out = append(out, o)
			if o.With = r.Loop(&o); o.With != "" {
				out = append(out, o)
			}
		}
	}
	o := fault(plan.FaultGripper)
	out = append(out, o)
	if o.With = r.Loop(&o); o.With != "" {
		out = append(out, o)
	}
	for _, k := range r.Knots() {
		o := fault(plan.FaultKnot)
		o.Strand, o.Hole = k.Strand, k.Hole
		out = append(out, o)
	}
	for _, s := range r.Newest() {
		for _, kind := range []plan.Mishap{plan.FaultWeave, plan.FaultKink, plan.FaultLate, plan.FaultTension} {
			o := fault(kind)
			o.Strand = s.Strand
			out = append(out, o)
		}
		for _, where := range []plan.Place{plan.InBed, plan.AtJaw, plan.AtGripper, plan.AtHole} {
			o := fault(plan.FaultBreak)
			o.Strand, o.Where = s.Strand, where
			out = append(out, o)
			o.Choose = plan.Regrip
			out = append(out, o)
		}
		for _, h := range []plan.Hole{s.In, s.Out} {
			for _, by := range []int{-1, 1} {
				o := fault(plan.FaultHole)
				o.Strand, o.From, o.Hole = s.Strand, h, r.HoleAt((r.At(h)+by+r.Total()-1)%r.Total()+1)
				out = append(out, o)
			}
		}
	}
	return out
}

// after are some ops that may follow, about one strand or, without any, those laid last.
func after(r *plan.Racket, s plan.Strand) (out []plan.Op) {
	for _, c := range plan.Clamps() {
		if r.Grip(c) != nil && r.Gripper() == nil {
			out = append(out, plan.Op{Op: plan.Unclamp, Clamp: c})
		}
	}
	for _, x := range r.Newest() {
		if s == "" || x.Strand == s {
			at, home := r.Stray(x.Strand)
			out = append(out, plan.Op{Op: plan.Cut, Strand: x.Strand}, plan.Op{Op: plan.Pull, Strand: x.Strand, Hole: x.Out, Repull: true},
				plan.Op{Op: plan.Waive, Strand: x.Strand, Text: "the owner wants it so"}, plan.Op{Op: plan.Move, Strand: x.Strand, From: at, To: home},
				plan.Op{Op: plan.Waive, Strand: x.Strand, From: home, To: at, Text: "the owner wants it so"})
		}
	}
	return out
}
