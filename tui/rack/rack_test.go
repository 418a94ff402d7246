package rack

import (
	"os"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/theme"
)

func list(t *testing.T) Model {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetColorProfile(termenv.Ascii)
	th, err := theme.New(r, theme.Plain)
	require.NoError(t, err)
	return New([]Item{
		{Group: "in progress", Title: "Ada · blue", Detail: "Club sixteen", Mark: "left 3 min ago"},
		{Group: "job files", Title: "broken.toml", Trouble: "broken.toml:3:1: " + strings.Repeat("long ", 60) + "\nbroken.toml:4:1: another"},
		{Group: "demo, all of it invented", Title: "Demo player"},
	}, th).SetSize(80, 24)
}

func press(m Model, keys ...tea.KeyType) (Model, tea.Msg) {
	var msg tea.Msg
	for _, k := range keys {
		var cmd tea.Cmd
		msg = nil
		if m, cmd = m.Update(tea.KeyMsg{Type: k}); cmd != nil {
			msg = cmd()
		}
	}
	return m, msg
}

func TestChoose(t *testing.T) {
	_, msg := press(list(t), tea.KeyEnter)
	assert.Equal(t, ChosenMsg(0), msg, "what is in progress comes first")
	_, msg = press(list(t), tea.KeyDown, tea.KeyDown, tea.KeyDown, tea.KeyEnter)
	assert.Equal(t, ChosenMsg(2), msg)
	m, msg := press(list(t), tea.KeyDown, tea.KeyEnter)
	assert.Nil(t, msg)
	assert.Contains(t, m.View(), "mend its file")
	assert.Contains(t, ansi.Strip(m.View()), "broken.toml:4:1: another", "every problem is shown")
	_, msg = press(list(t), tea.KeyEsc)
	assert.Nil(t, msg, "one esc too many does not end the program")
	_, cmd := list(t).Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	assert.Equal(t, LeaveMsg{}, cmd())
}

func TestFramesFit(t *testing.T) {
	for _, s := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}, {10, 4}, {1, 1}} {
		for _, downs := range []int{0, 1, 2} {
			m := list(t).SetSize(s[0], s[1])
			for range downs {
				m, _ = press(m, tea.KeyDown)
			}
			lines := strings.Split(m.View(), "\n")
			require.Len(t, lines, s[1])
			for _, l := range lines {
				require.Equal(t, s[0], lipgloss.Width(l))
			}
		}
	}
}
