package bench

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/theme"
)

// rung sounds the bell where a house wants it and there is a reason.
func (m Model) rung(reason bool) tea.Cmd {
	if !reason || m.set.Ring == nil {
		return nil
	}
	ring := m.set.Ring
	return func() tea.Msg {
		ring()
		return nil
	}
}

// titled sets the terminal's title to where the work stands, where a house wants it.
func (m Model) titled() tea.Cmd {
	if !m.set.Title {
		return nil
	}
	f := m.scene.face
	words := []string{fmt.Sprintf("%d/%d", m.state.Current(), m.state.Steps()), f.strand, f.to, f.tension}
	if m.job.Player != "" {
		words = append(words, "·", m.job.Player)
	}
	return tea.SetWindowTitle(theme.Clean(strings.Join(strings.Fields(strings.Join(words, " ")), " ")))
}
