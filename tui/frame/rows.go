package frame

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/patterns"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// window is the part of the form round the field in hand, with what belongs to the bed below it where there is room.
func (m Model) window(width, height int) []string {
	lines, from, to := m.lines(width)
	if len(lines) > height {
		return screen.InSight(lines, from, to, height)
	}
	for _, more := range [][]string{m.facts(), m.preview()} {
		if len(more) > 0 && len(lines)+1+len(more) <= height {
			lines = append(append(lines, ""), more...)
		}
	}
	return lines
}

// lines is the form, and the first and last line of the field in hand.
func (m Model) lines(width int) (lines []string, from, to int) {
	lines = m.countLines(width)
	above, at := len(lines), -1
	var rows []screen.Row
	for f, x := range form() {
		if id(f) == m.at {
			at = len(rows)
		}
		if m.shown(id(f)) {
			rows = append(rows, m.row(id(f), x))
		}
	}
	form, from, to := m.Rows(rows, at, m.input, labelWidth, width)
	lines = append(lines, form...)
	from, to = from+above, to+above
	save := m.SaveRow(m.at == fSave, m.saves(), m.seen.other, labelWidth, width)
	if m.at == fSave {
		from, to = len(lines), len(lines)+len(save)-1
	}
	return append(lines, save...), from, to
}

// countLines say how the holes of a side add up.
func (m Model) countLines(width int) (out []string) {
	role, text := theme.Warn, m.seen.count
	switch {
	case text == "":
		role, text = theme.Quiet, "mains + crosses = holes a side"
	case !m.settled(fStrings):
		role, text = theme.Quiet, "usual "+text
	case m.seen.whole:
		role = theme.OK
	}
	holes, sum, _ := strings.Cut(text, ": ")
	if lipgloss.Width(text) > width && sum != "" {
		out, text = append(out, m.Style(role, holes+":")), sum
	}
	return append(out, m.Hang(role, "", screen.Line(text), width)...)
}

// row is a field's name and what it says.
func (m Model) row(f id, x field) screen.Row {
	text := m.texts[f]
	r := screen.Row{Label: x.label, Text: text, Done: m.fresh() && m.settled(f) && text != "", Hint: x.hint + m.whose(f)}
	if text == "" {
		r.Text, r.Quiet = m.current(f), true
	}
	if m.left[f] {
		r.Wrong, r.Doubt = m.seen.wrong[f], m.seen.doubt[f]
	}
	return r
}

// whose says whether the value in hand is the usual one or was typed, and so what typing does to it.
func (m Model) whose(f id) string {
	switch {
	case m.offered() != "":
		return "; usual: typing replaces it"
	case m.texts[f] != "" && m.left[f] && !m.touched:
		return "; typing replaces it, " + m.Sign("⌫", "backspace") + " edits"
	case m.texts[f] != "" && m.left[f]:
		return "; typed: " + m.Sign("⌫", "backspace") + " takes a letter"
	}
	return ""
}

// saves says what the row that saves does.
func (m Model) saves() string {
	for f := range fields {
		if len(m.seen.wrong[f]) > 0 || !m.settled(f) && m.seen.usual[f] != "" {
			return "when all is in order"
		}
	}
	return "enter keeps it"
}

// facts say what follows from the strings, to be compared with the frame in hand.
func (m Model) facts() []string {
	f := m.seen.bed
	if f == nil || !m.settled(fStrings) || len(f.Crosses) == 0 {
		return nil
	}
	crossings := 0
	for _, c := range f.Crosses {
		crossings += len(f.Met(c))
	}
	out := []string{}
	if n := len(f.Mains[patterns.Left]); m.settled(fStart) && n > 0 {
		end := f.MainsEnd(patterns.Left)
		last := f.Mains[patterns.Left][n-1]
		out = append(out, fmt.Sprintf("mains end at the %s, M%dL in %s", end, n, f.HoleAt(last.At(end), end)))
	}
	first, last := f.Crosses[0], f.Crosses[len(f.Crosses)-1]
	out = append(out, fmt.Sprintf("C1 in %s, %s in %s, %d crossings", f.EndName(first, 0), last.Strand, f.EndName(last, 0), crossings))
	for i := range out {
		out[i] = "  " + m.Style(theme.Quiet, out[i])
	}
	return out
}

// preview is the file as it will be written.
func (m Model) preview() (out []string) {
	out = append(out, m.Style(theme.Quiet, "  the file"), "")
	for _, line := range strings.Split(strings.TrimRight(string(m.seen.text), "\n"), "\n") {
		out = append(out, "  "+m.Style(theme.Text, theme.Clean(strings.TrimRight(line, "\r"))))
	}
	return out
}
