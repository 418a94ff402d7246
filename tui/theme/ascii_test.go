package theme

import (
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
)

func TestASCII(t *testing.T) {
	assert.Equal(t, "1T > 1H | Zoe . ?? x", ASCII("1T → 1H • Zoë · 松 ×"))
	assert.Equal(t, "\x1b[1mbold\x1b[0m", ASCII("\x1b[1mbold\x1b[0m"), "what styles a frame stays")
	rapid.Check(t, func(t *rapid.T) {
		text := Clean(rapid.StringOf(rapid.Rune()).Draw(t, "text"))
		plain := ASCII(text)
		for i := range len(plain) {
			if plain[i] >= 0x80 {
				t.Fatalf("%q keeps %q", text, plain)
			}
		}
	})
	for _, text := range []string{"→←↑↓▶◁△▽▲▼…•·─━│┃◆●○◇×■□»«−–“”°⌫≥≤", "Zoë Ångström", "松本", "█▀▄▌▐╭╮╰╯"} {
		assert.Equal(t, lipgloss.Width(text), lipgloss.Width(ASCII(text)), text)
	}
}
