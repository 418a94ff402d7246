package browse

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// pageLine is a line of a page: its label, what it says and what it said before.
type pageLine struct {
	label, text, was string
	role             theme.Role
	link             int  // which of the lines that open something it is part of, -1 for none
	first            bool // it is the first line of that
}

// links are the lines that open something.
func (m Model) links() (out []shop.Line) {
	for _, s := range m.sheet.page.Below {
		for _, l := range s.Lines {
			if l.UID != "" {
				out = append(out, l)
			}
		}
	}
	return out
}

// title is what a record is called among others.
func title(it shop.Item) string {
	if it.Kind != records.KindJob {
		return it.Label()
	}
	words := []string{it.Label()}
	j := records.As[records.Job](it.Fields)
	for _, uid := range []string{j.Player, j.Racket} {
		if name := it.Names[uid]; name != "" {
			words = append(words, name)
		}
	}
	return strings.Join(words, " · ")
}

func (m Model) pageHead() []string {
	p := m.sheet.page
	k, _ := records.Find(p.Kind)
	head := m.Style(theme.Title, strings.ToUpper(singular(k))) + "  " + m.Style(theme.Current, m.Plain(title(p.Item)))
	if p.Mark != "" {
		head += "  " + m.Style(theme.OK, m.Plain(p.Mark))
	}
	switch p.State {
	case book.Removed:
		head += "  " + m.Style(theme.Warn, "removed")
	case book.Forgotten:
		head += "  " + m.Style(theme.Warn, "forgotten")
	}
	return []string{head, ""}
}

// pageLines writes the page for the width of the screen.
func (m Model) pageLines() []pageLine {
	p := m.sheet.page
	k, ok := records.Find(p.Kind)
	if !ok {
		return nil // no page is open yet
	}
	lines := m.fieldLines(k)
	link := 0
	for _, s := range p.Below {
		lines = append(lines, pageLine{link: -1}, pageLine{text: strings.ToUpper(screen.Line(s.Title)), role: theme.Title, link: -1})
		columns := m.tabled(s)
		if columns != nil {
			lines = append(lines, pageLine{text: m.cells(s.Head, columns), role: theme.Quiet, link: -1})
		}
		for _, l := range s.Lines {
			at := -1
			if l.UID != "" {
				at = link
				link++
			}
			if columns != nil {
				lines = append(lines, pageLine{text: m.cells(l.Cells, columns), role: theme.Text, link: at, first: true})
				continue
			}
			for i, text := range screen.Facts(m.Plain(l.Text), m.Room()-4) {
				lines = append(lines, pageLine{label: strings.Repeat(" ", min(i, 1)*2), text: text, role: theme.Text, link: at, first: i == 0})
			}
		}
	}
	if kinds := belonging(p.Item); len(p.Below) == 0 && len(kinds) > 0 && p.State == book.Kept {
		lines = append(lines, pageLine{link: -1})
		for _, text := range screen.Wrap("nothing belongs to it yet; a adds "+either(kinds), m.Room()-2) {
			lines = append(lines, pageLine{text: text, role: theme.Quiet, link: -1})
		}
	}
	return lines
}

// tabled are the widths of as many columns of a table as there is room for, nil for no table; one in which nothing stands has none.
func (m Model) tabled(s shop.Section) (widths []int) {
	room := m.Room() - 2
	for i := range s.Head {
		width, some := lipgloss.Width(s.Head[i]), false
		for _, l := range s.Lines {
			width, some = max(width, lipgloss.Width(m.Plain(l.Cells[i]))), some || l.Cells[i] != ""
		}
		if !some {
			width = 0
		}
		if room -= width + 2; room < -2 {
			return widths
		}
		widths = append(widths, width)
	}
	return widths
}

// cells are the cells of a line in columns of some widths.
func (m Model) cells(cells []string, widths []int) string {
	var out strings.Builder
	for i, width := range widths {
		if width > 0 {
			out.WriteString(theme.Fill(m.Plain(cells[i]), width, m.ASCII) + "  ")
		}
	}
	return strings.TrimRight(out.String(), " ")
}

// either names kinds as "a racket, a lot or a job".
func either(kinds []records.Name) string {
	words := make([]string, len(kinds))
	for i, n := range kinds {
		k, _ := records.Find(n)
		words[i] = "a " + singular(k)
	}
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// fieldLines are the fields that say something or said it once, each with its corrections.
func (m Model) fieldLines(k records.Kind) []pageLine {
	p := m.sheet.page
	fields := slices.DeleteFunc(slices.Clone(k.Fields), func(f records.Field) bool { return p.Fields[f.Key] == "" && len(m.was(f)) == 0 })
	dated := p.Dated()
	width := lipgloss.Width(dated)
	for _, f := range fields {
		width = max(width, lipgloss.Width(f.Label))
	}
	lines := m.fieldLine(dated, width, m.stamp(p.At), nil)
	for _, f := range fields {
		text := cmp.Or(m.value(f, p.Fields[f.Key], p.Names), "nothing")
		lines = append(lines, m.fieldLine(f.Label, width, text, m.was(f))...)
	}
	return lines
}

// fieldLine is one field: what was there before stands beside it where there is room, and otherwise below.
func (m Model) fieldLine(label string, width int, text string, was []string) (out []pageLine) {
	room := m.Room() - width - 4
	indent := strings.Repeat(" ", width+2)
	head := theme.Fill(label, width, m.ASCII) + "  "
	add := func(role theme.Role, text string) {
		for _, part := range screen.Wrap(theme.Clean(text), room) {
			out = append(out, pageLine{label: head, text: part, role: role, link: -1})
			head = indent
		}
	}
	for _, l := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		add(theme.Text, l)
	}
	for i, w := range was {
		if last := &out[0]; i == 0 && len(out) == 1 && lipgloss.Width(last.text)+3+lipgloss.Width(w) <= room {
			last.was = "   " + w
			continue
		}
		add(theme.Quiet, w)
	}
	return out
}

// was is what a field said before its corrections, the newest first. A whole file says nothing in a line.
func (m Model) was(f records.Field) (out []string) {
	if f.Whole {
		return nil
	}
	p := m.sheet.page
	now := p.Fields[f.Key]
	for _, c := range slices.Backward(p.Corrections) {
		before := c.Before[f.Key]
		if before == now {
			continue
		}
		text := fmt.Sprintf("was %s until %s", screen.Line(cmp.Or(m.value(f, before, p.Names), "nothing")), m.day(c.At))
		if c.Why != "" {
			text += ", " + screen.Line(c.Why)
		}
		out, now = append(out, text), before
	}
	return out
}

func (m Model) pageBody(rows int) (out []string, top int) {
	for _, l := range m.sheet.lines {
		role, mark := l.role, "  "
		if role == theme.Title {
			mark = ""
		}
		if l.link >= 0 && l.link == m.sheet.at {
			role = theme.Current
			if l.first {
				mark = m.Sign("▶ ", "> ")
			}
		}
		out = append(out, m.Style(role, mark)+m.Style(theme.Quiet, l.label)+m.Style(role, l.text)+m.Style(theme.Quiet, l.was))
	}
	return out, min(m.sheet.top, max(len(out)-rows, 0))
}

// lineOf is the first line of the i-th of those that open something.
func (s sheet) lineOf(i int) int {
	return slices.IndexFunc(s.lines, func(l pageLine) bool { return l.link == i })
}

// seen says whether the i-th of the lines that open something is in sight from a line on.
func (m Model) seen(i, top int) bool {
	if i < 0 {
		return false
	}
	at := m.sheet.lineOf(i)
	return at >= top && at < top+m.rows()
}

// settle brings a place into the page: no further than its end, and on a line that is in sight.
func (m Model) settle(p place) place {
	p.top = max(min(p.top, len(m.sheet.lines)-m.rows()), 0)
	if m.seen(p.at, p.top) {
		return p
	}
	p.at = -1
	for i := range m.links() {
		if m.seen(i, p.top) {
			p.at = i
			break
		}
	}
	return p
}

// scroll moves the page by lines.
func (m Model) scroll(by int) place {
	p := m.sheet.place
	p.top += by
	return m.settle(p)
}

// step goes to the next line that opens something when it is in sight, and otherwise moves the page by a line.
func (m Model) step(by int) place {
	p := m.sheet.place
	next := p.at + by
	if p.at >= 0 && m.seen(next, p.top) {
		p.at = next
		return p
	}
	p = m.scroll(by)
	if m.sheet.at >= 0 && m.seen(next, p.top) {
		p.at = next
	}
	return p
}
