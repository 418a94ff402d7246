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
		top := min(max(0, to+2-height), from, len(lines)-height)
		return lines[top : top+height]
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
	for f, x := range form() {
		if !m.shown(id(f)) {
			continue
		}
		if id(f) == m.at {
			from = len(lines)
		}
		lines = append(lines, m.row(id(f), x))
		lines = append(lines, m.below(id(f), x, width)...)
		if id(f) == m.at {
			to = len(lines) - 1
		}
	}
	if m.at == fSave {
		from = len(lines)
	}
	lines = append(lines, m.saveLines(width)...)
	if m.at == fSave {
		to = len(lines) - 1
	}
	return lines, from, to
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
func (m Model) row(f id, x field) string {
	mark, role := " ", theme.Text
	switch {
	case f == m.at:
		mark, role = m.Sign("▶", ">"), theme.Current
	case m.left[f] && len(m.seen.wrong[f]) > 0:
		mark, role = "!", theme.Danger
	case m.fresh() && m.settled(f) && m.texts[f] != "":
		mark, role = m.Sign("✓", "+"), theme.OK
	}
	label := m.Style(role, mark) + " " + m.Style(theme.Quiet, fmt.Sprintf("%-*s", labelWidth, x.label))
	switch {
	case f == m.at:
		return label + m.typing()
	case m.texts[f] != "":
		return label + m.Style(theme.Text, theme.Clean(m.texts[f]))
	}
	return label + m.Style(theme.Quiet, theme.Clean(m.current(f)))
}

// below are the hint of the field in hand and what is wrong or doubtful with a field.
func (m Model) below(f id, x field, width int) (out []string) {
	add := func(r theme.Role, mark, text string) {
		out = append(out, m.Hang(r, "  "+mark, screen.Line(text), width)...)
	}
	if f == m.at {
		add(theme.Quiet, "  ", x.hint+m.whose(f))
	}
	if !m.left[f] {
		return out
	}
	for _, text := range m.seen.wrong[f] {
		add(theme.Danger, "! ", text)
	}
	for _, text := range m.seen.doubt[f] {
		add(theme.Warn, "? ", text)
	}
	return out
}

// whose says whether the value in hand is the usual one or was typed, and so what typing does to it.
func (m Model) whose(f id) string {
	switch {
	case m.offered() != "":
		return "; usual: typing replaces it"
	case m.texts[f] != "" && m.left[f]:
		return "; typed: " + m.Sign("⌫", "backspace") + " takes a letter"
	}
	return ""
}

// saveLines is the row that saves, and what is wrong beyond the fields.
func (m Model) saveLines(width int) (out []string) {
	mark, role, text := " ", theme.Quiet, "enter keeps it"
	if m.at == fSave {
		mark, role = m.Sign("▶", ">"), theme.Current
	}
	for f := range fields {
		if len(m.seen.wrong[f]) > 0 || !m.settled(f) && m.seen.usual[f] != "" {
			text = "when all is in order"
		}
	}
	out = append(out, m.Style(role, mark)+" "+m.Style(role, fmt.Sprintf("%-*s", labelWidth, "save"))+m.Style(role, text))
	for _, problem := range m.seen.other {
		out = append(out, m.Hang(theme.Danger, "  ", screen.Line("! "+problem), width)...)
	}
	return out
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
