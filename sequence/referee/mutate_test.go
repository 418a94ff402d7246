package referee

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
)

// A harmless class is a change to a correct plan that leaves it correct, and why.
type harmless struct {
	why  string
	fits func(a, b *plan.Op) bool
}

func does(op *plan.Op, kinds ...plan.OpKind) bool { return slices.Contains(kinds, op.Op) }

// looks says whether an op looks at something or notes it, and presses no strand.
func looks(op *plan.Op) bool { return does(op, plan.Inspect, plan.Note) && op.Strand == "" }

// idle says whether an op looks at or notes something on which nothing depends.
func idle(op *plan.Op) bool {
	return looks(op) && !nameIn.MatchString(op.Text) && !strings.Contains(op.Text, "printed range")
}

// single are the ops that can be left away or done twice, doubles those that can be done twice.
var single = []harmless{
	{"looking and noting move nothing", func(a, _ *plan.Op) bool { return idle(a) }},
	{"straightening moves no tension", func(a, _ *plan.Op) bool { return does(a, plan.Straighten) }},
}

var doubles = []harmless{
	{"what was looked at and noted can be again", func(a, _ *plan.Op) bool { return does(a, plan.Inspect, plan.Note) }},
}

// swaps are the neighbours, first a and then b, whose order does not matter.
var swaps = []harmless{
	{"looking and noting move nothing", func(a, b *plan.Op) bool {
		scrap := does(a, plan.Note) && strings.HasPrefix(a.Text, plan.LeaveScrap) && len(b.Blocked) > 0
		return looks(a) && !scrap || looks(b)
	}},
	{"a strand is straightened as well before as after a clamp moves, while it is tensioned", func(a, b *plan.Op) bool {
		return does(a, plan.Straighten) && does(b, plan.ClampOn, plan.Unclamp) || does(a, plan.Unclamp) && does(b, plan.Straighten)
	}},
	{"two clamps go onto slack string in any order", func(a, b *plan.Op) bool {
		return does(a, plan.ClampOn) && does(b, plan.ClampOn)
	}},
	{"at the mains' start S only backs A, which holds alone", func(a, b *plan.Op) bool {
		return does(a, plan.Pull) && a.Strand[:2] == "M1" && does(b, plan.Unclamp) && b.Clamp == plan.S
	}},
	{"a clamp on one strand does not hinder the laying of another", func(a, b *plan.Op) bool {
		return a.Strand != b.Strand && (does(a, plan.Thread, plan.Weave) && does(b, plan.ClampOn) ||
			does(a, plan.ClampOn) && does(b, plan.Thread, plan.Weave))
	}},
	{"the clamp on the strand just pulled holds already when the old clamp leaves or the gripper eases", func(a, b *plan.Op) bool {
		return does(a, plan.Release) && does(b, plan.Unclamp)
	}},
	{"while the gripper pulls, two clamps behind it leave in any order", func(a, b *plan.Op) bool {
		return does(a, plan.Unclamp) && does(b, plan.Unclamp)
	}},
	{"while the gripper pulls, one clamp leaves before or after another goes on", func(a, b *plan.Op) bool {
		return does(a, plan.Unclamp) && does(b, plan.ClampOn) && a.Clamp != b.Clamp
	}},
	{"a clamp that has nothing more to hold leaves before or after the next strand is laid or tied", func(a, b *plan.Op) bool {
		return does(a, plan.Unclamp) && does(b, plan.Thread, plan.Weave, plan.Tie)
	}},
	{"a tied tail can be trimmed at any time", func(a, b *plan.Op) bool {
		return does(a, plan.Trim) && does(b, plan.Thread, plan.Weave, plan.Tie) || does(a, plan.Unclamp) && does(b, plan.Trim)
	}},
}

// fits says whether a change belongs to a class, and marks the class as met.
func fits(classes []harmless, met map[string]bool, a, b *plan.Op) bool {
	for _, c := range classes {
		if c.fits(a, b) {
			met[c.why] = true
			return true
		}
	}
	return false
}

// change returns the plan with other ops, as many in every step as sizes says, and with the clamps where they then stand:
// only the ops can be what the referee objects to.
func change(p *plan.Plan, ops []plan.Op, sizes []int) *plan.Plan {
	c := *p
	c.Steps = slices.Clone(p.Steps)
	for i, n := range sizes {
		c.Steps[i].Ops, ops = ops[:n:n], ops[n:]
	}
	stand(&c)
	return &c
}

// flat returns a plan's ops in one list, the step of each and the number in each step.
func flat(p *plan.Plan) (ops []plan.Op, step, sizes []int) {
	for i, s := range p.Steps {
		ops = append(ops, s.Ops...)
		sizes = append(sizes, len(s.Ops))
		for range s.Ops {
			step = append(step, i)
		}
	}
	return ops, step, sizes
}

func TestOpsDroppedDoubledAndSwapped(t *testing.T) {
	met, tried := map[string]bool{}, 0
	for _, s := range samples(t) {
		ops, step, sizes := flat(s.Plan)
		judge := func(kind string, i int, changed []plan.Op, grow int, fine bool) {
			if tried++; !sweep.Take(tried, 9) {
				return
			}
			n := slices.Clone(sizes)
			n[step[i]] += grow
			breaches := Check(change(s.Plan, changed, n))
			assert.Equal(t, fine, len(breaches) == 0, "%s: %s op %d of step %d (%s): %v",
				s.name, kind, i, step[i]+1, doing(&ops[i]), breaches)
		}
		for i := range ops {
			alone := fits(single, met, &ops[i], nil)
			judge("drop", i, slices.Delete(slices.Clone(ops), i, i+1), -1, alone)
			judge("double", i, slices.Insert(slices.Clone(ops), i, ops[i]), 1, alone || fits(doubles, met, &ops[i], nil))
			if i+1 < len(ops) {
				swapped := slices.Clone(ops)
				swapped[i], swapped[i+1] = ops[i+1], ops[i]
				// Over the border of two steps a pull would not be released in its step, or a strand be laid in another phase.
				a, b, second := s.Steps[step[i]], s.Steps[step[i+1]], &ops[i+1]
				movable := a.N == b.N || !does(second, plan.Pull) &&
					(a.Phase == b.Phase || s.Terms.Pieces == 1 || !does(second, plan.Thread, plan.Weave))
				judge("swap", i, swapped, 0, movable && fits(swaps, met, &ops[i], &ops[i+1]))
			}
		}
	}
	for _, c := range slices.Concat(single, doubles, swaps) {
		assert.True(t, met[c.why], "no change is harmless because %s", c.why)
	}
}

func TestFacesFlippedAndCountsChanged(t *testing.T) {
	other := map[plan.Face]plan.Face{plan.Over: plan.Under, plan.Under: plan.Over}
	for _, s := range samples(t) {
		ops, _, sizes := flat(s.Plan)
		for i := range ops {
			if ops[i].Op != plan.Weave {
				continue
			}
			flipped := slices.Clone(ops)
			flipped[i].First = other[ops[i].First]
			assert.Contains(t, rules(Check(change(s.Plan, flipped, sizes))), ruleWeave, "%s: %s", s.name, ops[i].Strand)

			counted := slices.Clone(ops)
			counted[i].Meets++
			assert.Equal(t, []int{ruleWeave}, rules(Check(change(s.Plan, counted, sizes))), "%s: %s", s.name, ops[i].Strand)
		}
	}
}

// holes are the fields of an op that name one hole.
func holes(op *plan.Op) []*plan.Hole {
	return []*plan.Hole{&op.From, &op.To, &op.Hole, &op.Out}
}

func TestHolesChanged(t *testing.T) {
	n := 0
	for _, s := range samples(t) {
		r := ring{s.Terms.HolesLeft, s.Terms.HolesRight}
		ops, _, sizes := flat(s.Plan)
		for i := range ops {
			for f, field := range holes(&ops[i]) {
				pos := r.hole(*field)
				if pos == 0 {
					continue
				}
				next, before, across, along := pos%22+1, (pos+20)%22+1, 23-pos, (33-pos)%22+1
				for _, to := range []int{next, before, across, along} {
					if n++; to == pos || !sweep.Take(n, 11) {
						continue
					}
					changed := slices.Clone(ops)
					*holes(&changed[i])[f] = r.name(to)
					assert.NotEmpty(t, Check(change(s.Plan, changed, sizes)), "%s: op %d (%s): %s for %s",
						s.name, i, doing(&ops[i]), r.name(to), *field)
				}
			}
		}
	}
}

// Two names of one hole are equal everywhere.
func TestHolesUnderTheirOtherName(t *testing.T) {
	rename := func(h plan.Hole) plan.Hole {
		n := number(string(h[:len(h)-2]))
		end := "T"
		if h[len(h)-2] == 'T' {
			end = "H"
		}
		return plan.Hole([]string{"", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}[12-n] + end + string(h[len(h)-1]))
	}
	for _, s := range samples(t) {
		ops, _, sizes := flat(s.Plan)
		for i := range ops {
			for _, field := range holes(&ops[i]) {
				if *field != "" {
					*field = rename(*field)
				}
			}
			for _, list := range []*[]plan.Hole{&ops[i].Blocked, &ops[i].Covers} {
				*list = slices.Clone(*list)
				for k := range *list {
					(*list)[k] = rename((*list)[k])
				}
			}
		}
		assert.Empty(t, Check(change(s.Plan, ops, sizes)), s.name)
	}
}

// rules returns the rules that breaches name, each once, in order.
func rules(breaches []Breach) []int {
	var r []int
	for _, b := range breaches {
		r = append(r, b.Rule)
	}
	slices.Sort(r)
	return slices.Compact(r)
}
