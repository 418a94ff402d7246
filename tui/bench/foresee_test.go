package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/tui/bed"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// What was foreseen of a step stands on it before it is done, and on no other; it is foreseen anew when a way back has changed
// the plan, and so are the numbers.
func TestForeseen(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-clamp")
	var asked, numbers []*plan.Plan
	r.m.job.Foresee = func(p *plan.Plan) map[int][]string {
		asked = append(asked, p)
		return map[int][]string{2: {"the support head will carry 900 N"}}
	}
	r.m.job.Numbers = func(p *plan.Plan) bed.Sheet { numbers = append(numbers, p); return bed.Sheet{} }
	cmd := r.m.foresee()
	require.NotNil(t, cmd)
	r.press("space")
	assert.Nil(t, r.m.foreseeAnew(), "it is on its way")
	r.press("backspace")
	r.send(cmd())
	assert.Equal(t, []string{"the support head will carry 900 N"}, r.m.foreseen.by[2])
	assert.Empty(t, r.m.foreseen.by[3])
	assert.Nil(t, r.m.foreseeAnew(), "the plan stands as it was")
	made := r.m.state.Plan()
	for range 8 {
		r.press("space")
	}
	assert.True(t, made == r.m.foreseen.of)
	r.press("s", "2", "1", "1")
	require.True(t, made != r.m.state.Plan(), r.m.View())
	require.True(t, r.m.foresees == r.m.state.Plan())
	r.send(r.m.foresee()())
	assert.True(t, r.m.state.Plan() == r.m.foreseen.of)
	r.send(foreseenMsg{made, nil}) // an answer that comes late
	assert.NotEmpty(t, r.m.foreseen.by)
	_, cmd = r.m.Update(golden.Key("b"))
	require.NotNil(t, cmd)
	_, err := cmd().(screen.OpenMsg).Open()
	require.NoError(t, err)
	assert.True(t, r.m.state.Plan() == numbers[0])
	r.m.job.Foresee = nil
	assert.Nil(t, r.m.foresee())
}
