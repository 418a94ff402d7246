package progress

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// mended is the plan after a mishap: the done steps, so many that put things right, then the rest.
func mended(p *plan.Plan, done, mending int) *plan.Plan {
	next := &plan.Plan{Steps: slices.Clone(p.Steps[:done])}
	for range mending {
		next.Steps = append(next.Steps, plan.Step{Title: "Mend"})
	}
	next.Steps = append(next.Steps, p.Steps[done:]...)
	return next
}

// follow applies kinds of events to a state, each for its current step.
func follow(t *testing.T, s State, kinds ...Kind) State {
	t.Helper()
	for _, k := range kinds {
		next, err := s.Apply(Event{Kind: k, Step: s.Current()})
		require.NoError(t, err)
		s = next
	}
	return s
}

func TestMishap(t *testing.T) {
	first := steps(4)
	next := mended(first, 2, 3)
	s, err := at(t, first, 2).Apply(Event{Kind: Mishap, Step: 3, Plan: next})
	require.NoError(t, err)
	for _, c := range []struct {
		name          string
		kinds         []Kind
		plan          *plan.Plan
		current, last int
		status        Status
	}{
		{"the recovery comes next", nil, next, 3, 2, Open},
		{"it goes on step by step", []Kind{Done, Done}, next, 5, 4, Open},
		{"and then with the rest", []Kind{Done, Done, Done, Done, Done}, next, 7, 7, Finished},
		{"taken back at once", []Kind{Back}, first, 3, 2, Open},
		{"a step back on the recovery first", []Kind{Done, Done, Back}, next, 4, 3, Open},
		{"one by one", []Kind{Done, Done, Back, Back}, next, 3, 2, Open},
		{"then the mishap", []Kind{Done, Done, Back, Back, Back}, first, 3, 2, Open},
		{"then what was done before it", []Kind{Back, Back}, first, 2, 1, Open},
		{"on by the old plan", []Kind{Back, Done, Done}, first, 4, 4, Finished},
		{"given up, and not after all", []Kind{Abandon, Back, Back}, first, 3, 2, Open},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := follow(t, s, c.kinds...)
			assert.Same(t, c.plan, s.Plan())
			assert.Equal(t, len(c.plan.Steps), s.Steps())
			assert.Equal(t, c.current, s.Current(), "current")
			assert.Equal(t, c.last, s.Last(), "last done")
			assert.Equal(t, c.status, s.Status())
		})
	}
}

func TestMishapAfterMishap(t *testing.T) {
	first := steps(4)
	second := mended(first, 2, 2)
	third := mended(second, 3, 1) // the recovery goes wrong as well
	s, err := Fold(first, []Event{
		{Kind: Done, Step: 1}, {Kind: Done, Step: 2},
		{Kind: Mishap, Step: 3, Plan: second}, {Kind: Done, Step: 3},
		{Kind: Mishap, Step: 4, Plan: third},
	})
	require.NoError(t, err)
	assert.Same(t, third, s.Plan())
	s = follow(t, s, Back)
	assert.Same(t, second, s.Plan())
	s = follow(t, s, Back)
	assert.Same(t, second, s.Plan())
	assert.Same(t, first, follow(t, s, Back).Plan())
}

func TestMishapRefused(t *testing.T) {
	first := steps(4)
	other := mended(first, 2, 1)
	other.Steps[1].Ops = []plan.Op{{Op: plan.Note, Text: "something else"}}
	longer := mended(first, 2, 1)
	longer.Steps[0].Ops = slices.Repeat(longer.Steps[0].Ops, 2)
	titled := mended(first, 2, 1)
	titled.Steps[0].Title = "Step one"
	for _, c := range []struct {
		name   string
		events []Event
		mishap Event
		want   string
	}{
		{"without a plan", nil, Event{Step: 3}, "mishap does not fit: it has no plan with steps"},
		{"without steps", nil, Event{Step: 3, Plan: &plan.Plan{}}, "mishap does not fit: it has no plan with steps"},
		{"the plan that is followed", nil, Event{Step: 3, Plan: first}, "mishap does not fit: its plan is the one that is followed already"},
		{"fewer steps than are done", nil, Event{Step: 3, Plan: steps(1)}, "mishap does not fit: its plan has 1 steps, but 2 are done"},
		{"another op", nil, Event{Step: 3, Plan: other}, `mishap does not fit: step 2 of its plan is not "Step 2" as it was done`},
		{"an op more", nil, Event{Step: 3, Plan: longer}, `mishap does not fit: step 1 of its plan is not "Step 1" as it was done`},
		{"another title", nil, Event{Step: 3, Plan: titled}, `mishap does not fit: step 1 of its plan is not "Step 1" as it was done`},
		{"another step", nil, Event{Step: 2, Plan: mended(first, 2, 1)}, "mishap for step 2 does not fit: step 3 is the current one"},
		{"on a detour", []Event{{Kind: Redo, Step: 1}}, Event{Step: 1, Plan: mended(first, 2, 1)},
			"mishap does not fit: step 1 is being done again; finish it or go back first"},
		{"after the end", []Event{{Kind: Done, Step: 3}, {Kind: Done, Step: 4}}, Event{Step: 4, Plan: mended(first, 4, 1)},
			"mishap does not fit: the job is strung"},
		{"when it was given up", []Event{{Kind: Abandon, Step: 3}}, Event{Step: 3, Plan: mended(first, 2, 1)},
			"mishap does not fit: the job is given up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := at(t, first, 2).ApplyAll(c.events)
			require.NoError(t, err)
			c.mishap.Kind = Mishap
			after, err := s.Apply(c.mishap)
			require.EqualError(t, err, c.want)
			assert.Equal(t, s, after)
		})
	}
}

// A plan that comes from storage has an empty list where there was none, and steps of its own.
func TestMishapWithAPlanThatWasWrittenDown(t *testing.T) {
	first := &plan.Plan{Steps: []plan.Step{
		{Ops: []plan.Op{{Op: plan.Weave, Strand: "C1", From: "7HL", To: "7HR", Piece: plan.PieceCrosses, First: plan.Over}}},
		{Ops: []plan.Op{{Op: plan.Weave, Strand: "C2", From: "9HR", To: "9HL", After: "C1", Piece: plan.PieceCrosses, First: plan.Over}}},
		{Ops: []plan.Op{{Op: plan.Pull, Strand: "C1", Hole: "7HR", Newtons: 230, Tension: "23 kg"}}},
		{Ops: []plan.Op{{Op: plan.Inspect, Text: "look"}}},
	}}
	text, err := json.Marshal(mended(first, 3, 1))
	require.NoError(t, err)
	read := new(plan.Plan)
	require.NoError(t, json.Unmarshal(text, read))
	require.NotEqual(t, first.Steps[0], read.Steps[0])
	_, err = at(t, first, 3).Apply(Event{Kind: Mishap, Step: 4, Plan: read})
	assert.NoError(t, err)

	read.Steps[0].Ops[0].Blocked = []plan.Hole{"7HL"}
	_, err = at(t, first, 3).Apply(Event{Kind: Mishap, Step: 4, Plan: read})
	assert.EqualError(t, err, `mishap does not fit: step 1 of its plan is not "" as it was done`)
	read.Steps[0].Ops[0].Blocked = nil
	read.Steps[1].Ops[0].Covers = []plan.Hole{"8HL"}
	_, err = at(t, first, 3).Apply(Event{Kind: Mishap, Step: 4, Plan: read})
	assert.EqualError(t, err, `mishap does not fit: step 2 of its plan is not "" as it was done`)
}

// What was counted stays with the steps that both plans have.
func TestMishapKeepsTheRedosOfWhatIsDone(t *testing.T) {
	counts := func(s State) (n []int) {
		for step := 1; step <= 5; step++ {
			n = append(n, s.Redos(step))
		}
		return n
	}
	first := steps(4)
	s, err := at(t, first, 2).ApplyAll([]Event{{Kind: Redo, Step: 3}, {Kind: Redo, Step: 3}, {Kind: Redo, Step: 1}, {Kind: Done, Step: 1}})
	require.NoError(t, err)
	s, err = s.Apply(Event{Kind: Mishap, Step: 3, Plan: mended(first, 2, 2)})
	require.NoError(t, err)
	assert.Equal(t, []int{1, 0, 0, 0, 0}, counts(s), "the third step is another one now")

	s, err = s.ApplyAll([]Event{{Kind: Redo, Step: 3}, {Kind: Done, Step: 3}, {Kind: Redo, Step: 2}, {Kind: Back, Step: 2}})
	require.NoError(t, err)
	assert.Equal(t, []int{1, 0, 1, 0, 0}, counts(s), "what is taken back does not count")
	s = follow(t, s, Back)
	assert.Equal(t, []int{1, 0, 1, 0, 0}, counts(s))
	assert.Equal(t, []int{1, 0, 2, 0, 0}, counts(follow(t, s, Back)), "of the old third step, as counted before")
}
