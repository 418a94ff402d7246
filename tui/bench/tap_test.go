package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/ear"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// Only a strung racket is listened to, and only where there is a microphone.
func TestTapKey(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	r.m.job.Tap = &ear.Ear{}
	_, cmd := r.m.Update(golden.Key("t"))
	assert.Nil(t, cmd, "it is not strung yet")
	r.times(len(r.m.job.Plan.Steps), "space")
	assert.Contains(t, r.screen(), "t tap")
	_, cmd = r.m.Update(golden.Key("t"))
	tap, err := cmd().(screen.OpenMsg).Open()
	require.NoError(t, err)
	assert.Contains(t, tap.SetSize(80, 24).View(), "TAP  Ada Example blue")
	r.m.job.Tap = nil
	assert.NotContains(t, r.screen(), "t tap")
	_, cmd = r.m.Update(golden.Key("t"))
	assert.Nil(t, cmd)
}
