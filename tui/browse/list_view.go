package browse

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

func (m Model) listHead() []string {
	k, _ := records.Find(m.list.kind)
	count := k.Plural + ": " + k.Short
	if m.list.read && m.list.err == nil {
		if count = counted(len(m.list.items), k); len(m.list.items) >= shop.MostFound {
			count = "the first " + count + "; letters find the others"
		}
	}
	find := m.Style(theme.Quiet, "type a few letters of a name")
	switch {
	case m.list.letters != "" && m.list.found:
		find = m.Style(theme.Text, theme.Clean(m.list.letters)) + m.Style(theme.Quiet, "  letters find another")
	case m.list.letters != "":
		find = m.Style(theme.Current, theme.Clean(m.list.letters)+m.Sign("▏", "_"))
	}
	return []string{
		m.Style(theme.Title, "RECORD BOOK") + "  " + m.Style(theme.Quiet, count),
		m.tabs(),
		m.Style(theme.Quiet, "find  ") + find,
		"",
	}
}

// counted says how many there are.
func counted(n int, k records.Kind) string {
	if n == 1 {
		return "1 " + singular(k)
	}
	return fmt.Sprintf("%d %s", n, k.Plural)
}

// tabs is the row of kinds, those beside the current one where there is no room for all. The current one is in brackets, so that it shows
// without colours too.
func (m Model) tabs() string {
	var all []string
	for _, n := range lookedUp() {
		words := strings.Fields(plural(n))
		name := words[len(words)-1]
		if n == m.list.kind {
			all = append(all, m.Style(theme.Current, "["+name+"]"))
		} else {
			all = append(all, m.Style(theme.Text, " "+name+" "))
		}
	}
	more := m.Style(theme.Quiet, m.Sign("…", "~"))
	at, from, to := slices.Index(lookedUp(), m.list.kind), 0, len(all)
	row := func() string {
		return strings.Repeat(more, min(from, 1)) + strings.Join(all[from:to], "") + strings.Repeat(more, min(len(all)-to, 1))
	}
	for lipgloss.Width(row()) > m.Room() && to-from > 1 {
		if to-1-at > at-from {
			to--
		} else {
			from++
		}
	}
	return row()
}

func (m Model) listBody(rows int) []string {
	l := m.list
	if len(l.items) == 0 || l.err != nil {
		return m.nothing()
	}
	k, _ := records.Find(l.kind)
	columns := m.columns(k, l.items, m.Room()-2)
	out := []string{m.Style(theme.Quiet, "  "+m.row(columns, -1))}
	top := min(max(l.at-rows/2, 0), max(len(l.items)-(rows-1), 0))
	for i := top; i < len(l.items) && len(out) < rows; i++ {
		mark, role := "  ", theme.Text
		if i == l.at {
			mark, role = m.Sign("▶ ", "> "), theme.Current
		}
		out = append(out, m.Style(role, mark+m.row(columns, i)))
	}
	return out
}

// nothing says why the list is empty and what to do.
func (m Model) nothing() (out []string) {
	k, _ := records.Find(m.list.kind)
	role, text := theme.Quiet, fmt.Sprintf("no %s yet; ctrl+n adds one", k.Plural)
	switch {
	case m.list.err != nil:
		role, text = theme.Danger, "! "+m.list.err.Error()
	case !m.list.read:
		text = "looking them up"
	case m.list.letters != "":
		text = fmt.Sprintf("no %s with these letters; backspace takes one off, ctrl+n adds one", k.Plural)
	}
	return m.Hang(role, "  ", theme.Clean(text), m.Room())
}

// column is a column of the list.
type column struct {
	title string
	texts []string
	width int
}

// columns are the name and the most telling fields, as many as fit into so many columns of the terminal.
func (m Model) columns(k records.Kind, items []shop.Item, room int) (out []column) {
	all := []column{{title: string(k.Name)}, {title: "state"}}
	for _, it := range items {
		all[0].texts = append(all[0].texts, screen.Line(it.Label()))
		all[1].texts = append(all[1].texts, screen.Line(it.Mark))
	}
	for _, f := range k.Fields {
		if short(f) {
			c := column{title: f.Label}
			for _, it := range items {
				text := screen.Line(m.value(f, it.Fields[f.Key], it.Names))
				if text == screen.Line(it.Label()) {
					text = "" // it is there already
				}
				c.texts = append(c.texts, text)
			}
			all = append(all, c)
		}
	}
	var since column
	since.title, since.texts = shop.Dates(items, m.day)
	most := max(room/2, 1)
	for _, c := range append(all, since) {
		c.width = c.widest(most)
		if c.width == 0 {
			continue
		}
		if room -= c.width; room < 0 && len(out) > 0 {
			break
		}
		room -= 2
		out = append(out, c)
	}
	return out
}

// short says whether a field is no long text.
func short(f records.Field) bool { return !f.Whole && !f.File && !f.Free }

// widest is the width of a column, no more than most, 0 when it is empty.
func (c column) widest(most int) int {
	width := 0
	for _, text := range c.texts {
		width = max(width, lipgloss.Width(text))
	}
	if width == 0 {
		return 0
	}
	return min(max(width, lipgloss.Width(c.title)), most)
}

// row is line i of the columns, or their titles when i is below nought.
func (m Model) row(columns []column, i int) string {
	var out []string
	for _, c := range columns {
		text := c.title
		if i >= 0 {
			text = c.texts[i]
		}
		out = append(out, theme.Fill(text, c.width, m.ASCII))
	}
	return strings.Join(out, "  ")
}
