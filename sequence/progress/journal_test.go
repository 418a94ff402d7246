package progress

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// What back went over did not happen, whatever it was, and nothing else is forgotten.
func TestStand(t *testing.T) {
	p := steps(4)
	way := mended(p, 2, 2)
	done, back := func(n int) Event { return Event{Kind: Done, Step: n} }, func(n int) Event { return Event{Kind: Back, Step: n} }
	slip, mishap := Event{Kind: Redo, Step: 3, What: "A", Plan: way}, Event{Kind: Mishap, Step: 3, Plan: way}
	for _, c := range []struct {
		name   string
		events []Event
		want   []int
	}{
		{"none", []Event{done(1), done(2)}, nil},
		{"one that counts", []Event{done(1), done(2), slip, done(3)}, []int{3}},
		{"taken back at once", []Event{done(1), done(2), slip, back(3)}, []int{}},
		{"taken back, then another one", []Event{done(1), done(2), slip, back(3), mishap}, []int{5}},
		{"a step of its way back only", []Event{done(1), done(2), slip, done(3), back(4)}, []int{3}},
		{"a step done again", []Event{done(1), {Kind: Redo, Step: 2, What: Gripper}, done(2)}, []int{2}},
		{"a step done again, and gone over", []Event{done(1), {Kind: Redo, Step: 2, What: Gripper}, back(2), done(1)}, []int{}},
		{"what was before it stays", []Event{done(1), {Kind: Redo, Step: 2}, done(2), slip, back(3)}, []int{2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Play(p, c.events)
			require.NoError(t, err)
			assert.Equal(t, c.want, got.Stand)
		})
	}
	_, err := Play(p, []Event{done(1), done(1)})
	assert.EqualError(t, err, "event 2: done for step 1 does not fit: step 2 is the current one")
	_, err = Play(&plan.Plan{Plan: "f00"}, nil)
	assert.EqualError(t, err, "plan f00 has no steps")
}
