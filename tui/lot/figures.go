package lot

import (
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// figures are the tensions as large as they fit: the one of the judged racket, quietly, and the one that will be strung.
func (m Model) figures() []string {
	s := m.sheet.Suggestion
	to, from := short(m.mains, m.crosses), ""
	if m.mains != s.Judged.Mains || m.crosses != s.Judged.Crosses {
		from = short(s.Judged.Mains, s.Judged.Crosses)
	}
	for _, rows := range []int{6, 5, 3} {
		if rows > m.figureRows() {
			continue
		}
		for _, lines := range m.bands(from, to, rows) {
			if lipgloss.Width(lines[0]) <= m.Room() {
				return lines
			}
		}
	}
	if from != "" {
		to = from + m.Sign(" → ", " -> ") + to
	}
	return []string{m.Style(theme.Current, to)}
}

// figureRows is how high the figures may be; too low a screen has no room for large ones.
func (m Model) figureRows() int {
	if m.Height < 16 {
		return 0
	}
	return max(m.Height/7, 3)
}

// bands are the ways to set the tensions in so many rows, the best first. Where there is no room for the first tension it
// is left to the line below the figures, before anything is set smaller than it need be.
func (m Model) bands(from, to string, rows int) (out [][]string) {
	next := m.big(to, rows, theme.Current)
	if from != "" {
		for _, size := range []int{rows, 3} {
			was := m.big(from, size, theme.Quiet)
			blank := strings.Repeat(" ", lipgloss.Width(was[0]))
			for len(was) < rows {
				was = append([]string{blank}, was...)
			}
			out = append(out, beside(was, m.arrow(rows), next))
		}
	}
	out = append(out, next)
	if number, unit, ok := strings.Cut(to, " "); ok && rows == 3 && !strings.Contains(unit, " ") {
		lines := m.big(number, rows, theme.Current)
		lines[rows-1] += " " + m.Style(theme.Current, unit)
		for i := range rows - 1 {
			lines[i] += strings.Repeat(" ", 1+len(unit))
		}
		out = append(out, lines)
	}
	return out
}

func (m Model) big(text string, rows int, r theme.Role) []string {
	lines := draw.Big(text, rows, m.ASCII)
	for i := range lines {
		lines[i] = m.Style(r, lines[i])
	}
	return lines
}

// arrow is as high as the figures beside it.
func (m Model) arrow(rows int) []string {
	out := make([]string, rows)
	for i := range out {
		out[i] = "   "
	}
	out[rows/2] = m.Style(theme.Current, m.Sign("━━▶", "-->"))
	return out
}

// beside sets blocks of the same height side by side.
func beside(blocks ...[]string) []string {
	out := make([]string, len(blocks[0]))
	for i := range out {
		for j, b := range blocks {
			out[i] += strings.Repeat("  ", min(j, 1)) + b[i]
		}
	}
	return out
}
