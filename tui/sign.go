package tui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/theme"
)

// signed is a frame with the sign of the room at the right of a line that is blank there, so that it covers nothing: the first, the
// last, or the first one that is. On a screen that is full to the last cell it covers the end of the last line.
func (m Model) signed(frame string) string {
	if m.sign == "" || m.width < 1 {
		return frame
	}
	lines := strings.Split(frame, "\n")
	text := " " + ansi.Truncate(m.sign, max(m.width-2, 1), "") + " "
	from := m.width - lipgloss.Width(text)
	at := len(lines) - 1
	for _, i := range order(len(lines)) {
		if blank(lines[i], from-1) {
			at = i
			break
		}
	}
	t := m.opts.Theme
	lines[at] = ansi.Truncate(lines[at], from, "") + t.Paint(theme.Fill(t.Style(theme.Warn).Render(text), m.width-from, m.opts.ASCII))
	return strings.Join(lines, "\n")
}

// order is the lines of a frame in the order in which the sign looks for room.
func order(n int) []int {
	out := []int{0, n - 1}
	for i := 1; i < n-1; i++ {
		out = append(out, i)
	}
	return out
}

// blank says whether nothing stands in a line from a column on.
func blank(line string, from int) bool {
	return strings.TrimSpace(ansi.Strip(ansi.TruncateLeft(line, max(from, 0), ""))) == ""
}
