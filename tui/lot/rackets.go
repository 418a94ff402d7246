package lot

import (
	"fmt"

	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/shop"
	"pullcard/tui/theme"
)

// listed is how many lines the rackets may take above the suggestion.
func (m Model) listed() int { return max((m.Height-8)/3, 1) }

// few is how many rackets the short list holds: all where they fit, else a line is left for how many more there are.
func (m Model) few() int {
	if all := len(m.sheet.Rackets); all <= m.listed() {
		return all
	}
	return m.listed() - 1
}

// rackets are as many of the lot as there is room for; the others stand below the evidence.
func (m Model) rackets() []string {
	out := m.racketLines(m.sheet.Rackets[:m.few()])
	if more := len(m.sheet.Rackets) - m.few(); more > 0 {
		out = append(out, m.Style(theme.Quiet, fmt.Sprintf("  and %d more below the evidence", more)))
	}
	return out
}

// others are the rackets that the short list leaves out.
func (m Model) others() []string { return m.racketLines(m.sheet.Rackets[m.few():]) }

func (m Model) racketLines(list []shop.LotRacket) (out []string) {
	name, state := 0, 0
	for _, r := range m.sheet.Rackets {
		name, state = max(name, lipgloss.Width(m.Plain(r.Name))), max(state, lipgloss.Width(m.Plain(r.State)))
	}
	name, state = min(name, m.Room()*2/5), min(state, m.Room()*2/5)
	for _, r := range list {
		text := "  " + m.Style(theme.Text, theme.Fill(m.Plain(r.Name), name, m.ASCII)) + "  " + m.Style(theme.Quiet, theme.Fill(m.Plain(r.State), state, m.ASCII))
		if r.Said != "" {
			text += "  " + m.Style(theme.OK, m.Plain(r.Said))
		}
		out = append(out, text)
	}
	return out
}
