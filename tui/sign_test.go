package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/screen"
)

// The sign of the room stands on every screen at every size, keeps the frame's measure, and covers no word but at the end of
// the last line of a screen that is full.
func TestSign(t *testing.T) {
	c := newCupboard(t)
	for name, keys := range screens() {
		t.Run(name, func(t *testing.T) {
			inBubble(t, func(t *testing.T) {
				r := newRig(t, newShop(c))
				for _, k := range keys {
					r.press(k)
				}
				for _, size := range [][2]int{{60, 20}, {80, 24}, {200, 60}, {12, 4}} {
					before := strings.Split(ansi.Strip(r.size(size[0], size[1]).m.View()), "\n")
					r.send(RoomMsg{"alone since 10:42, 3 waiting"})
					after := strings.Split(r.m.View(), "\n")
					require.Len(t, after, size[1])
					changed := 0
					for i, line := range after {
						require.Equal(t, size[0], lipgloss.Width(line))
						if plain := ansi.Strip(line); plain != before[i] {
							changed++
							kept := strings.TrimRight(before[i], " ")
							assert.True(t, i == size[1]-1 || strings.HasPrefix(plain, kept), "%q became %q", before[i], plain)
							assert.Contains(t, plain, "alone")
						}
					}
					assert.Equal(t, 1, changed)
					r.send(RoomMsg{})
					assert.Equal(t, before, strings.Split(ansi.Strip(r.m.View()), "\n"))
				}
			})
		})
	}
}

// What other benches do is looked at by the screen that is up, and only by that.
func TestStir(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c))
		r.shop.racket("job-1").player = "Zoe (invented)"
		r.hides("Zoe").send(screen.StirMsg{})
		r.shows("Zoe")
	})
}
