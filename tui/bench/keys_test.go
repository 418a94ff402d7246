package bench

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
)

// A terminal hands over keys that were typed quickly as one piece of text; each of them counts.
func TestKeysTypedTogether(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space")
	r.press("s1")
	assert.Contains(t, r.screen(), "Why? the gripper slipped")
	r.press("too loose", "enter")
	assert.Equal(t, "the gripper slipped on M3R at 3HR: too loose", r.shelf.events[7].Why)
}

// A held key is told by when its repeats came, not by when their turn came behind a slow disk.
func TestHeldBehindASlowDisk(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	r.clock = r.clock.Add(time.Second)
	var cmd tea.Cmd
	r.m, cmd = r.m.Update(keyOf("space"))
	for range 10 {
		r.clock = r.clock.Add(30 * time.Millisecond)
		r.m, _ = r.m.Update(keyOf("space"))
	}
	r.clock = r.clock.Add(2 * time.Second) // the disk takes its time
	for cmd != nil {
		r.m, cmd = r.m.Update(cmd())
	}
	assert.Equal(t, "done 1", r.kinds())
}
