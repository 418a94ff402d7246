// Package golden is what the tests of all screens share: themes and keys, and what is asked of a frame: that it fits its terminal,
// shows what it should, and is the one that was kept.
package golden

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/tui/theme"
)

// Sizes are the terminals at which every screen is looked at, in columns and rows.
func Sizes() [][2]int { return [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} }

// Odd are terminals too small or of a shape for which no screen is made; it fits them all the same.
func Odd() [][2]int {
	return [][2]int{{10, 4}, {1, 1}, {3, 2}, {20, 5}, {59, 19}, {40, 100}, {300, 12}}
}

// Texts are what people may write: anything at all, and more often what steers a terminal or is wider or narrower than it looks.
func Texts() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(),
		rapid.StringOfN(rapid.SampledFrom([]rune("a \n\t\x1b[31m\u202e\u2028\u0301\u0600\u200d界東👩🇩🇪👍🏽é")), 0, 80, -1))
}

// ASCII requires that a text has no other characters.
func ASCII(t testing.TB, text string) {
	t.Helper()
	for _, c := range text {
		require.Less(t, c, rune(0x80), "%q", text)
	}
}

// Theme is a theme by its name on a terminal with so many colours.
func Theme(t testing.TB, name string, colours termenv.Profile) theme.Theme {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(colours)
	th, err := theme.New(r, name)
	require.NoError(t, err)
	return th
}

// Plain is the theme without colours.
func Plain(t testing.TB) theme.Theme { return Theme(t, theme.Plain, termenv.Ascii) }

// Key is the message of a key by its name, as "esc", "ctrl+s" or "x"; of any other text it is that text.
func Key(name string) tea.KeyMsg {
	if name == "space" || name == " " {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	for _, k := range []tea.KeyType{tea.KeyEnter, tea.KeyEsc, tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight, tea.KeyTab, tea.KeyShiftTab,
		tea.KeyBackspace, tea.KeyPgDown, tea.KeyPgUp, tea.KeyHome, tea.KeyEnd, tea.KeyF1, tea.KeyCtrlC, tea.KeyCtrlN, tea.KeyCtrlP, tea.KeyCtrlS} {
		if k.String() == name {
			return tea.KeyMsg{Type: k}
		}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

// Shows requires that texts stand on a screen.
func Shows(t testing.TB, screen string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		require.Contains(t, screen, text)
	}
}

// Hides requires that texts do not stand on a screen.
func Hides(t testing.TB, screen string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		require.NotContains(t, screen, text)
	}
}

// Exact requires that a frame has so many lines of so many cells.
func Exact(t testing.TB, frame string, width, height int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	require.Len(t, lines, height)
	for _, l := range lines {
		require.Equal(t, width, lipgloss.Width(l), "%q", l)
	}
}

// Check holds a frame against the one that is kept under a name for a package two folders below the top; with update it
// is kept anew.
func Check(t testing.TB, update bool, name, got string) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "frames", name+".txt")
	if update {
		require.NoError(t, os.WriteFile(path, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got+"\n", name)
}
