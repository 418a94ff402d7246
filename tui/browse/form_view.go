package browse

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"

	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// matchLines is how many matches are in sight below their field.
const matchLines = 5

func (m Model) formHead() []string {
	head := m.Style(theme.Title, m.form.title)
	if m.form.uid != "" {
		head += "  " + m.Style(theme.Current, m.Plain(title(m.sheet.page.Item)))
	}
	if m.form.sent {
		head += "  " + m.Style(theme.Quiet, "being kept")
	}
	return []string{head, ""}
}

// formHelp is what to write into the row in hand, in as many lines as the longest help of the form needs, so that the foot
// does not jump.
func (m Model) formHelp() []string {
	most := 1
	for _, r := range m.form.rows {
		most = max(most, len(screen.Wrap(r.field.Help, m.Room())))
	}
	out := make([]string, min(most, 3))
	for i, l := range screen.Wrap(m.form.rows[m.form.at].field.Help, m.Room()) {
		if i < len(out) {
			out[i] = m.Style(theme.Quiet, l)
		}
	}
	return out
}

func (f form) labelWidth() int {
	width := 0
	for _, r := range f.rows {
		width = max(width, lipgloss.Width(r.field.Label))
	}
	return width
}

// formBody is the form; the row in hand is in sight, with what belongs to it. Where a reason is asked for and there is no room for all, the rows
// that are doubted stand over it alone.
func (m Model) formBody(rows int) (lines []string, top int) {
	lines, top = m.formRows(rows, func(row) bool { return true })
	if m.form.asks && m.form.at == len(m.form.rows)-1 && len(lines) > rows {
		return m.formRows(rows, func(r row) bool { return r.wrong != "" })
	}
	return lines, top
}

// formRows are the row in hand and the others that are wanted.
func (m Model) formRows(rows int, wanted func(row) bool) (lines []string, top int) {
	from, to := 0, 0
	for _, problem := range m.form.other {
		lines = append(lines, m.problem(problem, "")...)
	}
	for i, r := range m.form.rows {
		if i != m.form.at && !wanted(r) {
			continue
		}
		if i == m.form.at {
			from = len(lines)
		}
		lines = append(lines, m.rowLine(i, r))
		if r.wrong != "" {
			lines = append(lines, m.problem(r.wrong, "  ")...)
		}
		if i == m.form.at {
			lines = append(lines, m.matchLines(r)...)
			to = len(lines) - 1
		}
	}
	return lines, max(min(to+2-rows, from, len(lines)-rows), 0)
}

// problem is what is wrong, in as many lines as it needs.
func (m Model) problem(text, indent string) (out []string) {
	mark := indent + "! "
	for _, part := range strings.Split(text, "\n") {
		out = append(out, m.Hang(theme.Danger, mark, theme.Clean(part), m.Room())...)
		mark = indent + "  "
	}
	return out
}

func (m Model) rowLine(i int, r row) string {
	mark, role := " ", theme.Text
	switch {
	case i == m.form.at:
		mark, role = m.Sign("▶", ">"), theme.Current
	case r.wrong != "":
		mark, role = "!", theme.Danger
	case r.changed():
		mark, role = m.Sign("✓", "+"), theme.OK
	}
	label := m.Style(role, mark) + " " + m.Style(theme.Quiet, theme.Fill(r.field.Label, m.form.labelWidth(), m.ASCII)+"  ")
	text, blank := screen.Line(r.text), m.Plain(m.form.blank[r.field.Key])
	switch {
	case i == m.form.at && r.picks():
		text = cmp.Or(text, "-")
		return label + m.Style(theme.Current, m.Sign("◀ ", "< ")+text+m.Sign(" ▶", " >"))
	case i == m.form.at && r.text == "" && blank != "":
		return label + m.Style(theme.Current, m.Sign("▏", "_")) + m.Style(theme.Quiet, blank)
	case i == m.form.at:
		return label + m.typing()
	case text == "" && r.field.Needed:
		return label + m.Style(theme.Quiet, "needed")
	case text == "":
		return label + m.Style(theme.Quiet, blank)
	}
	return label + m.Style(theme.Text, text)
}

// typing is the line that is typed in; it takes out control characters itself, but not those that turn the writing.
func (m Model) typing() string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' {
			return -1
		}
		return r
	}, m.form.input.View())
}

// matchLines are the records that the row in hand may refer to; without letters only a line of what they are called.
func (m Model) matchLines(r row) (out []string) {
	indent := strings.Repeat(" ", m.form.labelWidth()+4)
	f := m.form
	switch {
	case !r.seeks() || !f.found, r.names() && len(f.matches) == 0:
		return nil
	case f.err != nil:
		return m.problem(f.err.Error(), "  ")
	case len(f.matches) == 0:
		if r.text == "" {
			return []string{indent + m.Style(theme.Quiet, "no "+plural(r.field.Of)+" yet")}
		}
		return m.Hang(theme.Warn, indent, "no "+plural(r.field.Of)+" with these letters; the book adds one (b, ctrl+n)", m.Room())
	case f.chosen < 0:
		return []string{indent + m.Style(theme.Quiet, m.names(m.Room()-len(indent)))}
	}
	top := min(max(f.chosen-matchLines/2, 0), max(len(f.matches)-matchLines, 0))
	for i := top; i < min(top+matchLines, len(f.matches)); i++ {
		mark, role := "  ", theme.Text
		if i == f.chosen {
			mark, role = m.Sign("▶ ", "> "), theme.Current
		}
		out = append(out, indent+m.Style(role, mark+m.match(f.matches[i])))
	}
	return out
}

// names are what the records are called that the row in hand may refer to, as many as there is room for.
func (m Model) names(room int) string {
	text := ""
	for i, it := range m.form.matches {
		next := text
		if i > 0 {
			next += ", "
		}
		next += m.Plain(title(it))
		more := ""
		if left := len(m.form.matches) - i - 1; left > 0 {
			more = fmt.Sprintf(" and %d more", left)
		}
		if i > 0 && lipgloss.Width(next+more) > room {
			return fmt.Sprintf("%s and %d more", text, len(m.form.matches)-i)
		}
		text = next
	}
	return text
}

// match tells a record from others with the same name.
func (m Model) match(it shop.Item) string {
	words := []string{title(it)}
	k, _ := records.Find(it.Kind)
	for _, f := range k.Fields {
		text := m.value(f, it.Fields[f.Key], it.Names)
		if text != "" && text != it.Label() && short(f) && (it.Kind != records.KindJob || f.Of == "") && len(words) < 3 {
			words = append(words, text)
		}
	}
	return m.Plain(strings.Join(words, " · "))
}
