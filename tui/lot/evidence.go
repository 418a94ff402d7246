package lot

import (
	"fmt"
	"slices"

	"pullcard/sequence/verdict"
	"pullcard/tui/theme"
)

// markWidth is the room for the mark of a line of evidence: a sign, the kind in a word, and two blanks.
const markWidth = 2 + len(verdict.Literature) + 2

// evidence is what the suggestion rests on, warnings first, and the rackets for which there was no room above.
func (m Model) evidence() []string {
	lines := slices.Clone(m.sheet.Suggestion.Lines)
	slices.SortStableFunc(lines, func(a, b verdict.Line) int { return first(a) - first(b) })
	var out []string
	for _, l := range lines {
		out = append(out, m.mark(l)...)
	}
	if rest := m.others(); len(rest) > 0 {
		out = append(append(out, m.Style(theme.Title, "THE OTHER RACKETS")), rest...)
	}
	return out
}

// first is 0 for lines that must not be overlooked.
func first(l verdict.Line) int {
	if l.Kind == verdict.Warning {
		return 0
	}
	return 1
}

// mark writes a line with the mark of its kind.
func (m Model) mark(l verdict.Line) (out []string) {
	sign, role := " ", theme.Text
	switch l.Kind {
	case verdict.Warning:
		sign, role = "!", theme.Warn
	case verdict.Ask:
		sign, role = "?", theme.Current
	case verdict.Assumption, verdict.Literature, verdict.History:
		role = theme.Quiet
	}
	mark := fmt.Sprintf("%s %-*s", sign, markWidth-2, m.Plain(string(l.Kind)))
	return m.Hang(role, mark, m.Plain(l.Text), m.Room())
}

// why is the line above the evidence: what it is for, and where in it the screen is.
func (m Model) why(top, count, all int) string {
	if all == 0 {
		return ""
	}
	text := m.Style(theme.Title, "WHY")
	if m.suggested() {
		text += m.Style(theme.Title, " "+pair(m.sheet.Suggestion.Mains, m.sheet.Suggestion.Crosses))
	}
	if count < all {
		text += m.Style(theme.Quiet, fmt.Sprintf("  lines %d to %d of %d", min(top+1, all), top+count, all))
	}
	return text
}

// evidenceRows is how many lines of evidence are in sight.
func (m Model) evidenceRows() int { return max(m.Height-len(m.head())-1-len(m.foot()), 0) }

// last is the last line that the evidence can begin with.
func (m Model) last() int { return max(len(m.evidence())-m.evidenceRows(), 0) }
