package draw

import (
	"cmp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"pullcard/sequence/plan"
)

// detour is a plan with a step of these ops put in behind its first steps.
func detour(p *plan.Plan, done int, ops ...plan.Op) *plan.Plan {
	q := *p
	q.Steps = slices.Insert(slices.Clone(p.Steps), done, plan.Step{Ops: ops})
	return &q
}

// after is the scene when that step is over.
func after(p *plan.Plan, done int, ops ...plan.Op) Scene {
	return At(detour(p, done, ops...), done+1, 0)
}

func states(s *Scene, names ...plan.Strand) (out []state) {
	for _, n := range names {
		out = append(out, s.span(n).state)
	}
	return out
}

func TestMishaps(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	mid := stepOf(t, p, plan.Pull, "C6") // B stands on C6 or A does; whichever, it is the last hold
	s := At(p, mid, 0)
	var last plan.Clamp
	for name, g := range s.Grips {
		if g.Strand == "C6" {
			last = name
		}
	}
	grips := len(s.Grips)

	s = after(p, mid, plan.Op{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: last})
	assert.Equal(t, []state{slack, slack, slack, slack, slack}, states(&s, "C6", "C5", "C4", "C3", "C2"),
		"back to the starting clamp, which is the next hold")
	assert.Equal(t, taut, s.span("M3L").state)
	assert.Len(t, s.Grips, grips, "the clamp is still there")

	s = after(p, mid, plan.Op{Op: plan.Fault, Fault: plan.FaultClamp, Clamp: last}, plan.Op{Op: plan.Unclamp, Clamp: last},
		plan.Op{Op: plan.Pull, Strand: "C6", Hole: s.Grips[last].Hole, Repull: true})
	assert.Equal(t, []state{taut, taut, taut, taut, taut, slack}, states(&s, "C6", "C5", "C4", "C3", "C2", "C1"),
		"a re-pull draws it tight again, and not what lies behind the starting clamp")

	s = after(p, mid, plan.Op{Op: plan.Fault, Fault: plan.FaultBreak, Strand: "C4"})
	assert.Equal(t, []state{slack, slack, taut}, states(&s, "C2", "C6", "M8L"), "as far as the next hold each way")

	s = after(p, mid, plan.Op{Op: plan.Fault, Fault: plan.FaultWeave, Strand: "C4"})
	assert.Equal(t, taut, s.span("C4").state, "a misweave does nothing to the string by itself")

	s = after(p, mid, plan.Op{Op: plan.Cut, Strand: "C6"})
	assert.Equal(t, []state{absent, slack}, states(&s, "C6", "C5"))
	assert.False(t, s.joined(s.span("C7"), 0) && s.joined(s.span("C7"), 1))
}

func TestTakingBack(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	laid := stepOf(t, p, plan.Weave, "C5")
	before, undone := At(p, laid-1, 0), after(p, laid, plan.Op{Op: plan.Unweave, Strand: "C5", From: "13HL", To: "13HR"})
	assert.Equal(t, before, undone, "as if it had never been woven")

	tie := stepOf(t, p, plan.Tie, "M8L")
	op := p.Steps[tie-1].Ops[0]
	for _, o := range p.Steps[tie-1].Ops {
		if o.Op == plan.Tie {
			op = o
		}
	}
	op.Op = plan.Untie
	s := after(p, tie, op)
	before = At(p, tie-1, 0)
	assert.Equal(t, before.runs, s.runs)
	assert.Equal(t, before.knots, s.knots)
	assert.Equal(t, before.Blocked, s.Blocked)

	s = after(p, tie, plan.Op{Op: plan.Fault, Fault: plan.FaultKnot, Strand: "M8L", Hole: op.Hole})
	assert.Equal(t, slack, s.span("M8L").state)
	assert.NotEqual(t, slack, s.span("M7L").state, "corners and weave hold what is beyond")
}

func TestTakingBackInHand(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	laid := stepOf(t, p, plan.Weave, "C5")
	s := At(detour(p, laid, plan.Op{Op: plan.Unweave, Strand: "C5", From: "13HL", To: "13HR"}), laid, laid+1)
	assert.Equal(t, plan.Strand("C5"), s.Current)
	assert.Equal(t, plan.Hole("13HL"), s.Exit, "it goes out where it came in")
	assert.Empty(t, s.Entry)
	assert.Equal(t, slack, s.span("C5").state, "it is still there")
	assert.True(t, s.span("C5").inHand)
}

// An end that is astray is drawn from its own hole, which is left empty, to the one that it is in; the bed stays where it is.
func TestAstray(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-skip")
	laid := stepOf(t, p, plan.Weave, "C5")
	straight := At(p, laid, 0)
	for _, v := range views() {
		least, high := straight.Size(v)
		for _, size := range [][2]int{{least, high}, {80, 38}, {120, 60}} {
			for _, is := range []struct {
				strand      plan.Strand
				from, wrong plan.Hole
			}{{"M4L", "4HL", "5HL"}, {"M6R", "6TR", "8TR"}, {"C5", "13HL", "12HL"}} {
				s := after(p, laid, plan.Op{Op: plan.Fault, Fault: plan.FaultHole, Strand: is.strand, From: is.from, Hole: is.wrong})
				home, was := straight.fit(size[0], size[1], v)
				g, l := s.fit(size[0], size[1], v)
				assert.Equal(t, home.holes, g.holes, "no hole moves")
				assert.Equal(t, was, l)
				c := newCanvas(v, point{g.u.size, g.v.size})
				style := palette(t, "plain", false)
				paint := painter{Scene: &s, grid: g, canvas: c, style: &style, layout: l}
				paint.paint()
				at, way := s.ring.at(is.from), cmp.Compare(s.ring.steps(s.ring.at(is.from), s.ring.at(is.wrong)), 0)
				to := g.holes[s.ring.at(is.wrong)].on
				for i := g.holes[at].on; i != to; {
					i = (i + way + len(g.line)) % len(g.line)
					q := c.at(g.line[i])
					assert.True(t, q.sign != 0 || q.stroke == dotted && q.arms.heavy(), "%s to %s, %s, %v: cell %v", is.strand, is.wrong, v, size, g.line[i])
				}
				empty := []rune{style.sign(markFree), style.sign(markBlocked)}
				assert.Contains(t, empty, c.at(g.holes[at].point).sign, "%s, %v %v: its own hole is empty", is.strand, v, size)
			}
		}
	}
}

// Where a hole proves to be another no clamp moves: on that card they stand where they stood, S behind A.
func TestFoundInAWrongHole(t *testing.T) {
	_, p := build(t, "club-sixteen", "two-piece-clamp")
	done := stepOf(t, p, plan.Pull, "M1R") - 1
	g := p.After(done).Grip(plan.A)
	q := detour(p, done, plan.Op{Op: plan.Fault, Fault: plan.FaultHole, Strand: g.Strand, From: g.Hole, Hole: "2TL", Text: "in a wrong hole"})
	q.Steps[done].Record = true
	s := At(q, done, done+1)
	assert.NotEmpty(t, s.Grips)
	assert.Equal(t, s.Grips, s.After)
}
