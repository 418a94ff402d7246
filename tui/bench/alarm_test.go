package bench

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/act"
	"pullcard/tui/screen"
)

// Where the work is kept when the book went away stands on every screen: all of it at first, then at least the name of the
// file; and the step was counted.
func TestKeptElsewhere(t *testing.T) {
	const file, why = "/home/ada/.local/share/pullcard/rescue-20310504T163201Z-12345.db", "book.db was deleted or renamed, all of it is kept there"
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
		r, at := newRig(t, "club-sixteen", "two-piece-skip"), ""
		r.m.job.Alarm = func(bool) string { return at }
		r.m = r.m.SetSize(size[0], size[1])
		see := func() string {
			frame := ansi.Strip(r.m.View())
			lines := strings.Split(frame, "\n")
			require.Len(t, lines, size[1])
			for _, line := range lines {
				require.Equal(t, size[0], lipgloss.Width(line))
			}
			return strings.Join(strings.Fields(frame), "")
		}
		r.press("space")
		assert.NotContains(t, see(), "NOTINTHEBOOK")
		at = "NOT IN THE BOOK but in " + file + ": " + why
		r.press("enter")
		assert.Contains(t, see(), strings.ReplaceAll(at, " ", ""), "at %v", size)
		assert.Contains(t, see(), "3/64")
		for _, key := range []string{"space", "?", "x", "f", "n"} {
			r.press(key)
			assert.Contains(t, see(), "NOTINTHEBOOK", "after %s at %v", key, size)
			assert.Contains(t, see(), file[len(file)-20:], "after %s at %v", key, size)
		}
	}
}

// Whose racket another bench takes over is told so as soon as this bench hears of it, by screen, bell and voice, once and without a key of
// his; and no longer when he has it again.
func TestTakenOverIsToldAtOnce(t *testing.T) {
	r, at, rang := newRig(t, "club-sixteen", "two-piece-skip"), "", 0
	var said []string
	r.m.job.Alarm = func(bool) string { return at }
	r.m.set.Ring = func() { rang++ }
	r.m.set.Say, r.m.set.Spoken = func(_ int, text string) { said = append(said, text) }, act.Spoken()
	r.press("space")
	said = nil
	r.send(screen.StirMsg{})
	assert.Empty(t, said)
	at = "TAKEN OVER by bench L at 10:42: nothing counts here"
	for range 3 {
		r.send(screen.StirMsg{})
	}
	assert.Contains(t, r.screen(), at)
	require.Len(t, said, 1)
	assert.Contains(t, said[0], "bench L")
	assert.Equal(t, 1, rang)
	at = ""
	r.send(screen.BackMsg{})
	assert.NotContains(t, r.screen(), "TAKEN OVER")
	assert.Len(t, said, 1)
}
