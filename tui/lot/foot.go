package lot

import (
	"fmt"

	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/theme"
)

// whyLabel stands before the reason.
const whyLabel = "why, may stay empty: "

// foot is what just happened or is asked, and below it the keys.
func (m Model) foot() (out []string) {
	if m.notice != "" {
		role, sign := theme.OK, ""
		if m.wrong {
			role, sign = theme.Danger, "! "
		}
		lines := wrap(sign+m.plain(m.notice), m.room())
		for _, l := range lines[:min(len(lines), 3)] {
			out = append(out, m.style(role, l))
		}
	}
	if m.sent {
		return append(out, m.style(theme.Quiet, "on its way into the book"))
	}
	if m.mode == deciding {
		if m.differs() {
			out = append(out, m.style(theme.Text, whyLabel)+m.input.View())
		}
		ask := fmt.Sprintf("%s again: %s; %s: leave it", m.keys.Decide.Help().Key, m.forThose(), m.keys.Back.Help().Key)
		return append(out, m.style(theme.Current, ask))
	}
	return append(out, m.keyLines()...)
}

// keyLines shows the keys in as many lines as they need.
func (m Model) keyLines() (out []string) {
	keys, from := m.shown(), 0
	for to := 1; to <= len(keys); to++ {
		if to == len(keys) || lipgloss.Width(m.help.ShortHelpView(keys[from:to+1])) > m.room() {
			out = append(out, m.help.ShortHelpView(keys[from:to]))
			from = to
		}
	}
	return out
}
