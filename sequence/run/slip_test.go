package run

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

func pull(strand plan.Strand, hole plan.Hole) plan.Op {
	return plan.Op{Op: plan.Pull, Strand: strand, Hole: hole}
}

func grab(c plan.Clamp, strand plan.Strand, hole plan.Hole) plan.Op {
	return plan.Op{Op: plan.Grab, Clamp: c, Strand: strand, Hole: hole}
}

func off(c plan.Clamp) plan.Op { return plan.Op{Op: plan.Unclamp, Clamp: c} }

func ease() plan.Op { return plan.Op{Op: plan.Release} }

func stands(a, b, s *plan.Grip) map[plan.Clamp]*plan.Grip {
	return map[plan.Clamp]*plan.Grip{plan.A: a, plan.B: b, plan.S: s}
}

// opening is the start of an invented frame's mains, then a turn to the crosses: enough for every way in which a clamp
// can come to stand.
func opening() *plan.Plan {
	grip := func(s plan.Strand, h plan.Hole) *plan.Grip { return &plan.Grip{Strand: s, Hole: h} }
	return &plan.Plan{Steps: []plan.Step{
		{Ops: []plan.Op{{Op: plan.Mount, Support: "head"}}, Clamps: stands(nil, nil, nil)},
		{Ops: []plan.Op{
			{Op: plan.Thread, Strand: "M1L"}, grab(plan.A, "M1L", "1HL"), grab(plan.S, "M1L", "1HL"),
		}, Clamps: stands(grip("M1L", "1HL"), nil, grip("M1L", "1HL"))},
		{Ops: []plan.Op{
			{Op: plan.Thread, Strand: "M1R"}, pull("M1R", "1TR"), grab(plan.B, "M1R", "1TR"), ease(),
		}, Clamps: stands(grip("M1L", "1HL"), grip("M1R", "1TR"), grip("M1L", "1HL"))},
		{Ops: []plan.Op{
			pull("M1L", "1TL"), off(plan.S), off(plan.A), grab(plan.A, "M1L", "1TL"), ease(),
		}, Clamps: stands(grip("M1L", "1TL"), grip("M1R", "1TR"), nil)},
		{Ops: []plan.Op{{Op: plan.Thread, Strand: "M2R"}}, Clamps: stands(grip("M1L", "1TL"), grip("M1R", "1TR"), nil)},
		{Ops: []plan.Op{
			{Op: plan.Weave, Strand: "C1"}, {Op: plan.Grab, Clamp: plan.S, Strand: "C1", Hole: "7HL", Outside: true},
			pull("C1", "7HR"), off(plan.B), grab(plan.B, "C1", "7HR"), ease(), {Op: plan.Trim, Hole: "7HL"},
		}, Clamps: stands(grip("M1L", "1TL"), grip("C1", "7HR"), &plan.Grip{Strand: "C1", Hole: "7HL", Outside: true})},
		{Ops: []plan.Op{pull("C2", "8HL"), off(plan.A), grab(plan.A, "C2", "8HL"), ease(), off(plan.B)},
			Clamps: stands(grip("C2", "8HL"), nil, &plan.Grip{Strand: "C1", Hole: "7HL", Outside: true})},
		{Ops: []plan.Op{off(plan.A), off(plan.S)}, Clamps: stands(nil, nil, nil)},
	}}
}

func at(t *testing.T, p *plan.Plan, done int) State {
	t.Helper()
	s := Start(p)
	for range done {
		var err error
		s, err = s.Apply(Event{Kind: Done, Step: s.Current()})
		require.NoError(t, err)
	}
	return s
}

func TestWhere(t *testing.T) {
	p := opening()
	assert.Nil(t, Where(Start(p)))
	s := at(t, p, 4)
	assert.Equal(t, p.Steps[3].Clamps, Where(s))

	s, err := s.Apply(Event{Kind: Redo, Step: 3})
	require.NoError(t, err)
	assert.Equal(t, p.Steps[3].Clamps, Where(s), "a detour leaves the clamps of the last done step")
}

func TestSlips(t *testing.T) {
	p := opening()
	for _, c := range []struct {
		name string
		done int
		want []Slip
	}{
		{"nothing holds yet", 0, nil},
		{"nothing to pull yet", 1, nil},
		{"the first pull", 2, []Slip{
			{What: Gripper, Strand: "M1R", Hole: "1TR", Step: 3},
			{What: "A", Strand: "M1L", Hole: "1HL", Step: 2}, {What: "S", Strand: "M1L", Hole: "1HL", Step: 2}}},
		{"a clamp set twice on a strand counts where it stands", 5, []Slip{
			{What: Gripper, Strand: "C1", Hole: "7HR", Step: 6},
			{What: "A", Strand: "M1L", Hole: "1TL", Step: 4}, {What: "B", Strand: "M1R", Hole: "1TR", Step: 3}}},
		{"no pull now, so the last one", 4, []Slip{
			{What: Gripper, Strand: "M1L", Hole: "1TL", Step: 4},
			{What: "A", Strand: "M1L", Hole: "1TL", Step: 4}, {What: "B", Strand: "M1R", Hole: "1TR", Step: 3}}},
		{"outside the hoop", 6, []Slip{
			{What: Gripper, Strand: "C2", Hole: "8HL", Step: 7},
			{What: "A", Strand: "M1L", Hole: "1TL", Step: 4}, {What: "B", Strand: "C1", Hole: "7HR", Step: 6},
			{What: "S", Strand: "C1", Hole: "7HL", Outside: true, Step: 6}}},
		{"the job is over", 8, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, Slips(at(t, p, c.done)))
		})
	}
}

func TestSlipsOnADetour(t *testing.T) {
	p := opening()
	s, err := at(t, p, 6).Apply(Event{Kind: Redo, Step: 4})
	require.NoError(t, err)
	slips := Slips(s)
	assert.Equal(t, Slip{What: Gripper, Strand: "M1L", Hole: "1TL", Step: 4}, slips[0], "the gripper pulls the detour's step")
	assert.Len(t, slips, 4, "the clamps stand as before it")
}

// A step that lets a strand go leaves nothing in the gripper, and the clamp that went back to the strand before can slip.
func TestSlipsAfterAnUndoneStep(t *testing.T) {
	s := at(t, undone(), 3)
	assert.Equal(t, []Slip{{What: "A", Strand: "M1L", Hole: "1TL", Step: 3}}, Slips(s))
}

// What is cut out need not hold any more.
func TestSlipsWhileStringIsCutOut(t *testing.T) {
	p := opening()
	p.Steps = append(p.Steps[:4:4], plan.Step{Ops: []plan.Op{{Op: plan.Fault, Fault: plan.FaultBreak, Strand: "M1L"}}, Clamps: p.Steps[3].Clamps},
		plan.Step{Ops: []plan.Op{{Op: plan.Note, Text: "from the centre"}, {Op: plan.Cut, Strand: "M1L"}}, Clamps: p.Steps[3].Clamps},
		plan.Step{}, plan.Step{Ops: []plan.Op{{Op: plan.Cut, Strand: "M1L"}}})
	for _, next := range []plan.Do{plan.Thread, plan.Weave, plan.Pull, plan.Tie} {
		p.Steps[6] = plan.Step{Ops: []plan.Op{{Op: next, Strand: "M1L"}}, Clamps: p.Steps[3].Clamps}
		assert.Empty(t, Slips(at(t, p, 4)), "it broke in this very moment")
		assert.Empty(t, Slips(at(t, p, 5)))
		assert.NotEmpty(t, Slips(at(t, p, 6)), "what is cut later holds until then: %s", next)
	}
}

func TestSlipsAfterAMishap(t *testing.T) {
	p := opening()
	s := at(t, p, 4)
	next := &plan.Plan{Steps: append(p.Steps[:4:4], plan.Step{Title: "Again", Ops: []plan.Op{
		pull("M1R", "1TR"), off(plan.B), grab(plan.B, "M1R", "1TR"), ease(),
	}, Clamps: p.Steps[3].Clamps})}
	s, err := s.Apply(Event{Kind: Mishap, Step: 5, Plan: next})
	require.NoError(t, err)
	require.NotEmpty(t, Slips(s))
	assert.Equal(t, Slip{What: Gripper, Strand: "M1R", Hole: "1TR", Step: 5}, Slips(s)[0])
	assert.Equal(t, "pull M1R 1TR, unclamp B, clamp B M1R 1TR, release", hands(AgainOps(s, 5)))

	more := &plan.Plan{Steps: append(next.Steps[:5:5], p.Steps[4:]...)}
	s, err = s.ApplyAll([]Event{{Kind: Done, Step: 5}, {Kind: Back, Step: 5}, {Kind: Back, Step: 5},
		{Kind: Mishap, Step: 5, Plan: more}, {Kind: Done, Step: 5}})
	require.NoError(t, err)
	assert.Equal(t, Slip{What: "B", Strand: "M1R", Hole: "1TR", Step: 5}, Slips(s)[2])
	assert.Equal(t, more.Steps[4].Clamps, Where(s))
}
