package lot

import (
	"fmt"

	"pullcard/tui/theme"
)

// whyLabel stands before the reason.
const whyLabel = "why, may stay empty: "

// mustLabel stands before it where it is needed.
const mustLabel = "why: "

// foot is what just happened or is asked, and below it the keys.
func (m Model) foot() (out []string) {
	out = m.Says()
	if m.sent {
		return append(out, m.Style(theme.Quiet, "on its way into the book"))
	}
	if m.mode == deciding {
		switch {
		case m.doubted:
			out = append(out, m.Style(theme.Text, mustLabel)+m.input.View())
		case m.differs():
			out = append(out, m.Style(theme.Text, whyLabel)+m.input.View())
		}
		ask := fmt.Sprintf("%s again: %s; %s: leave it", m.keys.Decide.Help().Key, m.forThose(), m.keys.Back.Help().Key)
		return append(out, m.Style(theme.Current, ask))
	}
	return append(out, m.Keys(m.shown()...)...)
}
