package lot

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/theme"
)

func (m Model) style(r theme.Role, text string) string { return m.theme.Style(r).Render(text) }

// sign is a character, or what stands for it where only ASCII may be used.
func (m Model) sign(full, ascii string) string {
	if m.ascii {
		return ascii
	}
	return full
}

// line is a text of people in one line.
func line(text string) string { return theme.Clean(strings.Join(strings.Fields(text), " ")) }

// plain is a text in one line, its signs in ASCII where that is asked for. What people wrote in other letters stays.
func (m Model) plain(text string) string {
	if m.ascii {
		text = strings.NewReplacer("→", "->", "−", "-", "–", "-", " · ", " | ").Replace(text)
	}
	return line(text)
}

// wrap breaks a text between words, and long words anywhere, into lines no wider than so many columns.
func wrap(text string, width int) []string {
	return strings.Split(ansi.Wrap(text, max(width, 1), ""), "\n")
}

// room is how many columns a line has.
func (m Model) room() int { return max(m.width-2, 1) }

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	foot := m.foot()
	foot = foot[:min(len(foot), m.height)]
	rows := m.height - len(foot)
	out := m.body(rows)
	out = out[:min(len(out), rows)]
	for len(out) < rows {
		out = append(out, "")
	}
	out = append(out, foot...)
	for i := range out {
		out[i] = theme.Fill(" "+out[i], m.width, m.ascii)
	}
	return m.theme.Paint(strings.Join(out, "\n"))
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
	return m.style(theme.Title, screen) + "  " + m.style(theme.Text, m.plain(m.sheet.Title))
}

// head is all above the evidence: the rackets, and the suggestion as the loudest thing.
func (m Model) head() []string {
	loud, more := m.outcome()
	out := append([]string{m.title("LOT")}, m.rackets()...)
	out = append(out, "", strings.TrimSpace(m.style(theme.Current, strings.ToUpper(loud))+" "+m.style(theme.Text, more)))
	if m.suggested() {
		return append(append(out, m.figures()...), m.style(theme.Text, m.plain(m.caption())))
	}
	for _, l := range wrap(m.plain(m.sheet.None), m.room()) {
		out = append(out, m.style(theme.Text, l))
	}
	return out
}
