package lot

import (
	"strings"

	"pullcard/tui/theme"
)

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	foot := m.foot()
	return m.Page(nil, m.body(max(m.Height-len(foot), 0)), foot)
}

// body is all above the foot.
func (m Model) body(rows int) []string {
	if m.mode == reading || m.mode == deciding {
		lines := m.evidence()
		top := min(m.top, len(lines))
		inSight := lines[top:min(top+m.evidenceRows(), len(lines))]
		return append(append(m.head(), m.why(top, len(inSight), len(lines))), inSight...)
	}
	lines, chosen := m.question()
	top := max(min(chosen-rows+3, len(lines)-rows+2), 0)
	return append([]string{m.title("VERDICT"), ""}, lines[min(top, len(lines)):]...)
}

func (m Model) title(screen string) string {
	return m.Style(theme.Title, screen) + "  " + m.Style(theme.Text, m.Plain(m.sheet.Title))
}

// head is all above the evidence: the rackets, and the suggestion as the loudest thing.
func (m Model) head() []string {
	loud, more := m.outcome()
	out := append([]string{m.title("LOT")}, m.rackets()...)
	out = append(out, "", strings.TrimSpace(m.Style(theme.Current, strings.ToUpper(loud))+" "+m.Style(theme.Text, more)))
	if m.suggested() {
		return append(append(out, m.figures()...), m.Style(theme.Text, m.Plain(m.caption())))
	}
	return append(out, m.Hang(theme.Text, "", m.Plain(m.sheet.None), m.Room())...)
}
