package bench

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/cellbuf"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/tui/internal/golden"
	"pullcard/tui/theme"
)

// Every cell of every card has the theme's background and is written in the colour of a role, so that no colour comes in that means
// nothing, or two things, whatever colours the terminal has by itself.
func TestEveryCellHasARole(t *testing.T) {
	usual := lipgloss.ColorProfile() // what nobody gave a style would have a colour of its own on a real terminal
	lipgloss.SetColorProfile(termenv.TrueColor)
	defer lipgloss.SetColorProfile(usual)
	for i, name := range theme.Names()[:4] {
		if !sweep.Take(i, 4) {
			continue
		}
		th := golden.Theme(t, name, termenv.TrueColor)
		known := map[string]bool{}
		for _, r := range theme.Roles() {
			known[ink(t, th.Style(r).Render("x"))] = true
		}
		r := newRig(t, "club-sixteen", "two-piece-skip")
		for _, keys := range [][]string{{}, {"space"}, {"space", "space", "space", "space"}, {"?"}, {"space", "n"}, {"esc", "f"}, {"f", "v"}, {"m", "m", "left"}, {"space", "s"},
			{"1", "1"}, {"space"}, {"esc"}, {"w", "1"}, {"esc", "esc", "q"}} {
			r.press(keys...)
			for _, size := range sizes {
				m := r.m.SetTheme(th).SetSize(size[0], size[1])
				view := m.View()
				cells := cellbuf.NewBuffer(size[0], size[1])
				cellbuf.SetContent(cells, view)
				for y := range size[1] {
					for x := range size[0] {
						c := cells.Cell(x, y)
						require.True(t, c != nil && c.Style.Bg != nil, "%s at %v after %v: %d,%d has the terminal's own background", name, size, keys, x, y)
						if strings.TrimSpace(string(c.Rune)) != "" {
							require.True(t, known[inkOf(c)], "%s at %v after %v: %q at %d,%d has %v", name, size, keys, c.Rune, x, y, c.Style.Fg)
						}
					}
				}
			}
		}
	}
}

func ink(t testing.TB, text string) string {
	cells := cellbuf.NewBuffer(lipgloss.Width(text), 1)
	cellbuf.SetContent(cells, text)
	require.NotNil(t, cells.Cell(0, 0))
	return inkOf(cells.Cell(0, 0))
}

func inkOf(c *cellbuf.Cell) string {
	if c.Style.Fg == nil {
		return ""
	}
	r, g, b, _ := c.Style.Fg.RGBA()
	return string([]rune{rune(r >> 8), rune(g >> 8), rune(b >> 8)})
}
