package screen

import (
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
	"pullcard/tui/theme"
)

// No line of a wrapped text is wider than it may be, nothing is lost but blanks, and no word that fits is torn.
func TestWrap(t *testing.T) {
	word := rapid.SampledFrom([]string{"", "a", "-", "two-piece-skip", "世界", "\"club-sixteen\"?", "é́", strings.Repeat("long", 12), "·", "24", "kg", "5%,", "%"})
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(word).Draw(t, "words")
		text, width := strings.Join(words, rapid.SampledFrom([]string{" ", "  ", "\n"}).Draw(t, "between")), rapid.IntRange(2, 60).Draw(t, "width")
		lines := rapid.SampledFrom([]func(string, int) []string{Wrap, Facts}).Draw(t, "wrap")(text, width)
		for _, l := range lines {
			assert.LessOrEqual(t, lipgloss.Width(l), width, "%q", l)
		}
		assert.Equal(t, strings.Join(strings.Fields(text), ""), strings.Join(strings.Fields(strings.Join(lines, "")), ""))
		for _, w := range words {
			if w != "" && lipgloss.Width(w) <= width {
				assert.Contains(t, strings.Join(lines, "\n"), w)
			}
		}
	})
}

// A unit stays with its number, and what stands between two facts begins no line.
func TestFacts(t *testing.T) {
	assert.Equal(t, []string{"strung ·", "24 kg /", "23 kg ·", "101 %,", "hands on"}, Facts("strung · 24 kg / 23 kg · 101 %, hands on", 8))
	assert.Equal(t, []string{"24", "kg", "·", "5", "%"}, Facts("24 kg · 5 %", 2), "where there is room for both")
}

// A page is as large as its terminal whatever is on it, and the foot stands at its bottom.
func TestPage(t *testing.T) {
	th, err := theme.New(lipgloss.NewRenderer(io.Discard), theme.Plain)
	require.NoError(t, err)
	lines := rapid.SliceOfN(rapid.SampledFrom([]string{"", "x", strings.Repeat("wide ", 50)}), 0, 40)
	rapid.Check(t, func(t *rapid.T) {
		l := Look{Theme: th, Width: rapid.IntRange(1, 90).Draw(t, "width"), Height: rapid.IntRange(1, 40).Draw(t, "height")}
		got := strings.Split(l.Page(lines.Draw(t, "head"), lines.Draw(t, "body"), []string{"foot"}), "\n")
		require.Len(t, got, l.Height)
		for _, line := range got {
			assert.Equal(t, l.Width, lipgloss.Width(line))
		}
		if l.Width > 5 {
			assert.Equal(t, " foot", strings.TrimRight(got[l.Height-1], " "))
		}
	})
	assert.Empty(t, Look{Theme: th}.Page(nil, nil, nil), "before the size is known")
}
