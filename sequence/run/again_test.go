package run

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// hands writes ops as one line.
func hands(ops []plan.Op) string {
	var words []string
	for _, op := range ops {
		do := string(op.Op)
		if op.Repull {
			do = "re-pull"
		}
		words = append(words, strings.Join(strings.Fields(strings.Join(
			[]string{do, string(op.Clamp), string(op.Strand), string(op.Hole)}, " ")), " "))
	}
	return strings.Join(words, ", ")
}

func TestAgainOps(t *testing.T) {
	p := opening()
	for _, c := range []struct {
		name       string
		done, step int
		want       string
	}{
		{"the gripper slipped on the way: as planned, without threading", 2, 3, "pull M1R 1TR, clamp B M1R 1TR, release"},
		{"a clamp moves as planned", 3, 4, "pull M1L 1TL, unclamp S, unclamp A, clamp A M1L 1TL, release"},
		{"a clamp that stands is set again under the pull", 4, 4, "re-pull M1L 1TL, unclamp A, clamp A M1L 1TL, release"},
		{"nothing is tight before the first pull", 2, 2, "unclamp A, clamp A M1L 1HL, unclamp S, clamp S M1L 1HL"},
		{"of two clamps in one place one always holds", 3, 2, "unclamp A, clamp A M1L 1HL, unclamp S, clamp S M1L 1HL"},
		{"one set before the pull is set again before it", 6, 6,
			"unclamp S, clamp S C1 7HL, re-pull C1 7HR, unclamp B, clamp B C1 7HR, release"},
		{"and under a pull of its own once the work went on", 7, 6, "re-pull C1 7HL, unclamp S, clamp S C1 7HL, release"},
		{"nothing stands where the step set it", 7, 4, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, hands(AgainOps(at(t, p, c.done), c.step)))
		})
	}
	assert.Equal(t, opening(), p, "the plan itself stays as it is")
}

// feeding begins an invented frame without a starting clamp.
func feeding() *plan.Plan {
	a, b := &plan.Grip{Strand: "M1L", Hole: "1HL"}, &plan.Grip{Strand: "M1R", Hole: "1TR"}
	return &plan.Plan{Steps: []plan.Step{
		{Ops: []plan.Op{
			{Op: plan.Thread, Strand: "M1L"}, {Op: plan.Thread, Strand: "M1R", After: "M1L"}, grab(plan.A, "M1L", "1HL"),
		}, Clamps: stands(a, nil, nil)},
		{Ops: []plan.Op{pull("M1R", "1TR"), grab(plan.B, "M1R", "1TR"), ease()}, Clamps: stands(a, b, nil)},
		{Ops: []plan.Op{pull("M1L", "1TL"), off(plan.A), grab(plan.A, "M1L", "1TL"), ease()},
			Clamps: stands(&plan.Grip{Strand: "M1L", Hole: "1TL"}, b, nil)},
	}}
}

// outside begins the crosses of an invented frame with S outside, set in a step of its own.
func outside() *plan.Plan {
	s := plan.Op{Op: plan.Grab, Clamp: plan.S, Strand: "C1", Hole: "7HL", Outside: true}
	at := &plan.Grip{Strand: "C1", Hole: "7HL", Outside: true}
	boosted := plan.Op{Op: plan.Pull, Strand: "C1", Hole: "7HL", Newtons: 250, Tension: "25 kg", BoostPercent: 10, Repull: true}
	plain := plan.Op{Op: plan.Pull, Strand: "C1", Hole: "7HR", Newtons: 230, Tension: "23 kg"}
	return &plan.Plan{Steps: []plan.Step{
		{Ops: []plan.Op{{Op: plan.Weave, Strand: "C1"}, s}, Clamps: stands(nil, nil, at)},
		{Ops: []plan.Op{{Op: plan.Weave, Strand: "C2", After: "C1"}}, Clamps: stands(nil, nil, at)},
		{Ops: []plan.Op{plain, grab(plan.B, "C1", "7HR"), ease()}, Clamps: stands(nil, &plan.Grip{Strand: "C1", Hole: "7HR"}, at)},
		{Ops: []plan.Op{boosted, off(plan.S), grab(plan.A, "C1", "7HL"), ease()},
			Clamps: stands(&plan.Grip{Strand: "C1", Hole: "7HL"}, &plan.Grip{Strand: "C1", Hole: "7HR"}, nil)},
		{Ops: []plan.Op{{Op: plan.Tie, Strand: "C1", Out: "7HL"}, off(plan.A), off(plan.B)}, Clamps: stands(nil, nil, nil)},
	}}
}

// undone pulls two mains of an invented frame, then lets the second go.
func undone() *plan.Plan {
	first := stands(&plan.Grip{Strand: "M1L", Hole: "1TL"}, nil, nil)
	return &plan.Plan{Steps: []plan.Step{
		{Ops: []plan.Op{pull("M1L", "1TL"), grab(plan.A, "M1L", "1TL"), ease()}, Clamps: first},
		{Ops: []plan.Op{{Op: plan.Thread, Strand: "M2L", After: "M1L"}, pull("M2L", "2HL"), off(plan.A), grab(plan.A, "M2L", "2HL"), ease()},
			Clamps: stands(&plan.Grip{Strand: "M2L", Hole: "2HL"}, nil, nil)},
		{Ops: []plan.Op{{Op: plan.Pull, Strand: "M2L", Hole: "2HL", Repull: true}, off(plan.A), grab(plan.A, "M1L", "1TL"),
			{Op: plan.Slacken, Strand: "M2L", Hole: "2HL"}, {Op: plan.Unthread, Strand: "M2L"}}, Clamps: first},
		{Ops: []plan.Op{{Op: plan.Inspect, Text: "look"}}, Clamps: first},
	}}
}

// putBack has a tail put back into S by a step of a recovery, its strand let go and pulled anew.
func putBack() *plan.Plan {
	p := outside()
	s := plan.Op{Op: plan.Grab, Clamp: plan.S, Strand: "C1", Hole: "7HL", Outside: true}
	p.Steps = append(p.Steps[:4:4],
		plan.Step{Ops: []plan.Op{p.Steps[3].Ops[0], s, off(plan.A), ease()}, Clamps: p.Steps[2].Clamps},
		plan.Step{Ops: []plan.Op{{Op: plan.Pull, Strand: "C1", Hole: "7HR", Repull: true}, off(plan.B), {Op: plan.Slacken, Strand: "C1", Hole: "7HR"}},
			Clamps: p.Steps[1].Clamps},
		p.Steps[2], plan.Step{})
	return p
}

// elsewhere holds a main in a clamp while a cross begins.
func elsewhere() *plan.Plan {
	p := outside()
	a := &plan.Grip{Strand: "M8L", Hole: "10HL"}
	p.Steps[0].Clamps = stands(a, nil, p.Steps[0].Clamps[plan.S])
	p.Steps = append([]plan.Step{{Ops: []plan.Op{pull("M8L", "10HL"), grab(plan.A, "M8L", "10HL"), ease()}, Clamps: stands(a, nil, nil)}}, p.Steps...)
	return p
}

// A clamp that was set without a pull: what it takes depends on whether its string is tight by now.
func TestAgainOpsOfAClampSetWithoutAPull(t *testing.T) {
	for _, c := range []struct {
		name       string
		plan       *plan.Plan
		done, step int
		want       string
	}{
		{"slack on both sides", feeding(), 1, 1, "unclamp A, clamp A M1L 1HL"},
		{"the loop is tight: the strand across it is pulled again", feeding(), 2, 1,
			"unclamp A, clamp A M1L 1HL, re-pull M1R 1TR, unclamp B, clamp B M1R 1TR, release"},
		{"the clamp of that strand", feeding(), 2, 2, "re-pull M1R 1TR, unclamp B, clamp B M1R 1TR, release"},
		{"a tail that is slack", outside(), 2, 1, "unclamp S, clamp S C1 7HL"},
		{"a tail that is tight", outside(), 3, 1, "re-pull C1 7HL, unclamp S, clamp S C1 7HL, release"},
		{"a tail that was put back, while it is tight", putBack(), 5, 5, "re-pull C1 7HL, unclamp S, clamp S C1 7HL, release"},
		{"slack again", putBack(), 6, 5, "unclamp S, clamp S C1 7HL"},
		{"and pulled anew", putBack(), 7, 5, "re-pull C1 7HL, unclamp S, clamp S C1 7HL, release"},
		{"what another clamp holds is no part of it", elsewhere(), 2, 2, "unclamp S, clamp S C1 7HL"},
		{"a clamp that went back under the pull of what was let go", undone(), 3, 3,
			"re-pull M1L 1TL, unclamp A, clamp A M1L 1TL, release"},
		{"the pull of what was let go since is none", undone(), 3, 2, ""},
		{"the step that lets go, not done yet", undone(), 2, 3,
			"re-pull M2L 2HL, unclamp A, clamp A M1L 1TL, slacken M2L 2HL, unthread M2L"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, hands(AgainOps(at(t, c.plan, c.done), c.step)))
		})
	}
}

func TestAgainOpsTension(t *testing.T) {
	s := at(t, outside(), 3)
	assert.Equal(t, plan.Op{Op: plan.Pull, Strand: "C1", Hole: "7HL", Newtons: 230, Tension: "23 kg", Repull: true}, AgainOps(s, 1)[0],
		"as hard as the strand was pulled")
	s = at(t, outside(), 4)
	assert.Equal(t, outside().Steps[3].Ops[0], AgainOps(s, 4)[0], "a boosted pull keeps its boost")
	assert.Equal(t, 250.0, AgainOps(at(t, putBack(), 5), 5)[0].Newtons, "also when the tail is put back")
	assert.Equal(t, 230.0, AgainOps(at(t, putBack(), 7), 5)[0].Newtons, "until the strand is let go")
}

// Two clamps of one step: the one that slipped is set again while the other holds.
func TestAgainOpsOfTheClampThatSlipped(t *testing.T) {
	s := at(t, opening(), 3)
	redo := func(s State, what string) State {
		next, err := s.Apply(Event{Kind: Redo, Step: 2, What: what})
		require.NoError(t, err)
		return next
	}
	both := "unclamp A, clamp A M1L 1HL, unclamp S, clamp S M1L 1HL"
	assert.Equal(t, "unclamp S, clamp S M1L 1HL", hands(AgainOps(redo(s, "S"), 2)))
	assert.Equal(t, "unclamp A, clamp A M1L 1HL", hands(AgainOps(redo(s, "A"), 2)))
	assert.Equal(t, "unclamp A, clamp A M1L 1HL", hands(AgainOps(redo(redo(s, "A"), "A"), 2)), "the same once more")
	assert.Equal(t, both, hands(AgainOps(redo(redo(s, "A"), "S"), 2)), "then the other")
	assert.Equal(t, both, hands(AgainOps(redo(s, ""), 2)), "which is not known")
	assert.Equal(t, both, hands(AgainOps(redo(s, Gripper), 2)), "none of them")

	away, err := redo(s, "A").Apply(Event{Kind: Redo, Step: 3, What: "B"})
	require.NoError(t, err)
	assert.Equal(t, "unclamp A, clamp A M1L 1HL", hands(AgainOps(away, 2)), "it waits while another step is done again")
	assert.Equal(t, both, hands(AgainOps(redo(away, "S"), 2)), "and is not forgotten")

	s = at(t, opening(), 6)
	s, err = s.Apply(Event{Kind: Redo, Step: 6, What: "B"})
	require.NoError(t, err)
	assert.Equal(t, "re-pull C1 7HR, unclamp B, clamp B C1 7HR, release", hands(AgainOps(s, 6)), "S stays where it is")
}

// A tail that was pulled once more and only clamped loses what that added when a clamp beyond it slips.
func TestRedoTakesTheRepulledTailAlong(t *testing.T) {
	s := at(t, outside(), 4)
	next, err := s.Apply(Event{Kind: Redo, Step: 3, What: "B"})
	require.NoError(t, err)
	assert.Equal(t, 3, next.Current())
	assert.Equal(t, "re-pull C1 7HR, unclamp B, clamp B C1 7HR, release", hands(AgainOps(next, 3)))
	assert.Equal(t, 230.0, AgainOps(next, 3)[0].Newtons, "as hard as at that hole, not as at the tail")
	assert.Equal(t, []int{1, 0}, []int{next.Redos(3), next.Redos(4)}, "one slip is counted once")
	tail := follow(t, next, Done)
	assert.Equal(t, 4, tail.Current())
	assert.Equal(t, "re-pull C1 7HL, unclamp A, clamp A C1 7HL, release", hands(AgainOps(tail, 4)))
	assert.Equal(t, 5, follow(t, tail, Done).Current())
	assert.Equal(t, 5, follow(t, next, Back).Current(), "one back for one slip")

	waits, err := next.Apply(Event{Kind: Redo, Step: 3, What: "B"})
	require.NoError(t, err)
	assert.Equal(t, 5, follow(t, waits, Done, Done).Current(), "the tail waits once")

	for _, c := range []struct {
		name string
		from State
		redo Event
	}{
		{"the gripper let nothing go", s, Event{Kind: Redo, Step: 3, What: Gripper}},
		{"the tail's own clamp", s, Event{Kind: Redo, Step: 4, What: "A"}},
		{"a strand that has its own pull", at(t, opening(), 4), Event{Kind: Redo, Step: 3, What: "B"}},
		{"before the tail was pulled", at(t, outside(), 3), Event{Kind: Redo, Step: 3, What: "B"}},
	} {
		redone, err := c.from.Apply(c.redo)
		require.NoError(t, err)
		assert.False(t, follow(t, redone, Done).Detour(), c.name)
	}
}
