package progress

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// steps is a plan of so many steps.
func steps(n int) *plan.Plan {
	p := &plan.Plan{}
	for i := range n {
		p.Steps = append(p.Steps, plan.Step{N: i + 1, Title: fmt.Sprintf("Step %d", i+1), Ops: []plan.Op{{Op: plan.Note, Text: "an invented one"}}})
	}
	return p
}

// keys reads a line of events: "done 1", "redo 2"; the step may be left away where it is the current one.
func keys(t *testing.T, n int, line string) (State, error) {
	t.Helper()
	s := Start(steps(n))
	for field := range strings.SplitSeq(line, ", ") {
		kind, num, _ := strings.Cut(field, " ")
		e := Event{Kind: Kind(kind), Step: s.Current()}
		if num != "" {
			require.NoError(t, json.Unmarshal([]byte(num), &e.Step))
		}
		next, err := s.Apply(e)
		if err != nil {
			return s, err
		}
		s = next
	}
	return s, nil
}

func TestApply(t *testing.T) {
	for _, c := range []struct {
		name, events  string
		current, last int
		status        Status
	}{
		{"a step done", "done", 2, 1, Open},
		{"all done", "done, done, done, done", 4, 4, Finished},
		{"one back", "done, done, back", 2, 1, Open},
		{"back from the end", "done, done, done, done, back", 4, 3, Open},
		{"words change nothing", "done, note, resume, note", 2, 1, Open},
		{"the current step again", "done, redo 2", 2, 1, Open},
		{"an earlier step again", "done, done, done, redo 2", 2, 3, Open},
		{"and on where it stood", "done, done, done, redo 2, done", 4, 3, Open},
		{"and to the end", "done, done, done, redo 2, done, done", 4, 4, Finished},
		{"a detour on a detour", "done, done, done, redo 2, redo 1", 1, 3, Open},
		{"and back through both", "done, done, done, redo 2, redo 1, done, done", 4, 3, Open},
		{"the outer one again first", "done, done, done, redo 2, redo 1, redo 2", 2, 3, Open},
		{"each once only", "done, done, done, redo 2, redo 1, redo 2, done, done", 4, 3, Open},
		{"back closes a detour", "done, done, done, redo 2, back", 4, 3, Open},
		{"back opens a detour that was done", "done, done, done, redo 2, done, back", 2, 3, Open},
		{"a slip on a detour", "done, done, done, redo 2, redo 2, done", 4, 3, Open},
		{"given up", "done, abandon", 2, 1, Abandoned},
		{"given up on a detour", "done, done, redo 1, abandon", 1, 2, Abandoned},
		{"not given up after all", "done, abandon, back", 2, 1, Open},
		{"words afterwards", "abandon, note", 1, 0, Abandoned},
		{"words after the end", "done, done, done, done, note", 4, 4, Finished},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := keys(t, 4, c.events)
			require.NoError(t, err)
			assert.Equal(t, c.current, s.Current(), "current")
			assert.Equal(t, c.last, s.Last(), "last done")
			assert.Equal(t, c.status, s.Status())
		})
	}
}

func TestApplyRefuses(t *testing.T) {
	for _, c := range []struct{ name, events, want string }{
		{"another step done", "done, done 1", "done for step 1 does not fit: step 2 is the current one"},
		{"back from another step", "done, done, back 2", "back for step 2 does not fit: step 3 is the current one"},
		{"words for another step", "done, note 1", "note for step 1 does not fit: step 2 is the current one"},
		{"back at the start", "back", "back does not fit: nothing is done before step 1"},
		{"back past the start", "done, back, back", "back does not fit: nothing is done before step 1"},
		{"a step still to come again", "done, redo 3", "redo of step 3 does not fit: it is not done yet, only up to step 1"},
		{"the waiting step on a detour", "done, done, redo 1, redo 3", "redo of step 3 does not fit: it is not done yet, only up to step 2"},
		{"no such step", "redo 0", "redo of step 0 does not fit: the plan has steps 1 to 4"},
		{"beyond the last", "redo 5", "redo of step 5 does not fit: the plan has steps 1 to 4"},
		{"more than all", "done, done, done, done, done", "done does not fit: the job is strung"},
		{"again after the end", "done, done, done, done, redo 2", "redo does not fit: the job is strung"},
		{"the end given up", "done, done, done, done, abandon", "abandon does not fit: the job is strung"},
		{"taken up after the end", "done, done, done, done, resume", "resume does not fit: the job is strung"},
		{"on with what was given up", "abandon, done", "done does not fit: the job is given up"},
		{"an unknown word", "jump", `no event is called "jump"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := keys(t, 4, c.events)
			assert.EqualError(t, err, c.want)
		})
	}
}

func TestRedosAreCountedUntilTheyAreTakenBack(t *testing.T) {
	s, err := keys(t, 4, "done, done, redo 3, redo 1, back, redo 1, done")
	require.NoError(t, err)
	assert.Equal(t, []int{0, 1, 0, 1, 0, 0}, []int{s.Redos(0), s.Redos(1), s.Redos(2), s.Redos(3), s.Redos(4), s.Redos(5)})
	s, err = keys(t, 4, "done, done, redo 3, redo 1, back, redo 1, done, back, back, back")
	require.NoError(t, err)
	assert.Equal(t, []int{0, 0, 0}, []int{s.Redos(1), s.Redos(2), s.Redos(3)})
	assert.Zero(t, Start(steps(4)).Redos(1))
}

func TestFold(t *testing.T) {
	p := &plan.Plan{Plan: "f00", Steps: make([]plan.Step, 3)}
	s, err := Fold(p, []Event{{Kind: Done, Step: 1}, {Kind: Done, Step: 2}})
	require.NoError(t, err)
	assert.Equal(t, 3, s.Current())
	assert.Same(t, p, s.Plan())

	_, err = Fold(p, []Event{{Kind: Done, Step: 1}, {Kind: Done, Step: 1}})
	assert.EqualError(t, err, "event 2: done for step 1 does not fit: step 2 is the current one")
	_, err = Fold(&plan.Plan{Plan: "f00"}, nil)
	assert.EqualError(t, err, "plan f00 has no steps")
}

func TestEventJSON(t *testing.T) {
	zone := time.FixedZone("", 2*3600)
	e := Event{At: time.Date(2031, 5, 4, 13, 2, 1, 123456789, zone), Kind: Done, Step: 12}
	text, err := json.Marshal(e)
	require.NoError(t, err)
	assert.Equal(t, `{"at":"2031-05-04T13:02:01.123456789+02:00","kind":"done","step":12}`, string(text))

	e.Kind, e.What, e.Why = Redo, "A", "jaw \"moved\""
	text, err = json.Marshal(e)
	require.NoError(t, err)
	assert.Contains(t, string(text), `"kind":"redo","step":12,"what":"A","why":"jaw \"moved\""}`)

	e.Kind, e.What, e.Why, e.Plan = Mishap, "misweave", "C4", steps(30)
	text, err = json.Marshal(e)
	require.NoError(t, err)
	assert.Contains(t, string(text), `"kind":"mishap","step":12,"what":"misweave","why":"C4"}`, "the plan is kept elsewhere")
}
