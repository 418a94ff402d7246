package theme

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNewKnowsItsNames(t *testing.T) {
	for _, name := range Names() {
		th, err := New(renderer(termenv.TrueColor), name)
		require.NoError(t, err)
		assert.Equal(t, name, th.Name)
	}
	_, err := New(renderer(termenv.TrueColor), "sepia")
	assert.ErrorContains(t, err, `no "sepia"`)
	assert.ErrorContains(t, err, "contrast-light", "the names there are")
}

func TestNoColours(t *testing.T) {
	for _, name := range Names() {
		th, err := New(renderer(termenv.Ascii), name)
		require.NoError(t, err)
		for _, r := range Roles() {
			assert.Equal(t, "M3L", th.Style(r).Render("M3L"), "%s: %s", name, r)
		}
		assert.Equal(t, "a\nb", th.Paint("a\nb"))
	}
	th, err := New(renderer(termenv.TrueColor), Plain)
	require.NoError(t, err)
	assert.Equal(t, "x", th.Style(Danger).Render("x"), "plain stays plain on any terminal")
}

func TestStylesWriteTheProfilesColours(t *testing.T) {
	for profile, want := range map[termenv.Profile]string{
		termenv.TrueColor: "38;2;255;206;", termenv.ANSI256: "38;5;", termenv.ANSI: "93m",
	} {
		th, err := New(renderer(profile), "dark")
		require.NoError(t, err)
		before, after := th.Around(Current)
		assert.Contains(t, before, want)
		assert.Equal(t, "\x1b[0m", after)
		assert.Equal(t, before+"26.4 kg"+after, th.Style(Current).Render("26.4 kg"))
	}
}

func TestPaintGroundsEveryCell(t *testing.T) {
	th, err := New(renderer(termenv.TrueColor), "dark")
	require.NoError(t, err)
	frame := "ab" + th.Style(Danger).Render("cd") + "ef\n  gh  "
	painted := th.Paint(frame)
	assert.Equal(t, 2, lipgloss.Height(painted))
	assert.Equal(t, lipgloss.Width(frame), lipgloss.Width(painted))
	background := "48;2;18;24;28"
	for _, line := range strings.Split(painted, "\n") {
		assert.True(t, strings.HasSuffix(line, "\x1b[0m"), "the background ends with the line")
		for _, part := range strings.Split(strings.TrimSuffix(line, "\x1b[0m"), "\x1b[0m") {
			assert.Contains(t, part[:strings.Index(part, "m")+1], background, "after every reset the background comes first")
		}
	}
}

func TestEveryRoleHasAName(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Roles() {
		assert.NotEmpty(t, r.String())
		assert.False(t, seen[r.String()], r.String())
		seen[r.String()] = true
	}
}
