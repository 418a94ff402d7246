package browse

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"pullcard/sequence/records"
	"pullcard/tui/theme"
)

// stamp writes a time of the book; the hour is left away where none was meant.
func (m Model) stamp(at time.Time) string {
	at = at.In(m.zone)
	if at.Hour() == 0 && at.Minute() == 0 {
		return at.Format(time.DateOnly)
	}
	return at.Format("2006-01-02 15:04")
}

func (m Model) day(at time.Time) string { return at.In(m.zone).Format(time.DateOnly) }

// value is what a field says to people; names are those of what fields refer to.
func (m Model) value(f records.Field, text string, names map[string]string) string {
	if f.Of != "" && text != "" {
		return m.Plain(cmp.Or(names[text], "one of the "+plural(f.Of)))
	}
	if f.Whole && text != "" {
		return fmt.Sprintf("%d lines", strings.Count(strings.TrimRight(text, "\n"), "\n")+1)
	}
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return m.stamp(at)
	}
	return text
}

func plural(n records.Name) string {
	k, _ := records.Find(n)
	return k.Plural
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	head, rows := m.head(), m.rows()
	body, top := m.body(rows)
	if more := len(body); more > rows {
		body = body[top:min(top+rows, more)]
		head[len(head)-1] = m.Style(theme.Quiet, fmt.Sprintf("  lines %d to %d of %d", top+1, top+len(body), more))
	}
	return m.Page(head, body, m.foot())
}

// body is what is between head and foot, and which of its lines comes first when there are too many.
func (m Model) body(rows int) (lines []string, top int) {
	switch m.at {
	case onPage:
		return m.pageBody(rows)
	case onForm:
		return m.formBody(rows)
	}
	return m.listBody(rows), 0
}

// rows is how many lines are between head and foot.
func (m Model) rows() int { return max(m.Height-len(m.head())-len(m.foot()), 1) }

func (m Model) head() []string {
	switch m.at {
	case onPage:
		return m.pageHead()
	case onForm:
		return m.formHead()
	}
	return m.listHead()
}

// foot is what just happened, or the keys; before them the help of the field in hand.
func (m Model) foot() []string {
	foot := m.Foot(m.enabled()...)
	if m.at == onForm {
		return append(m.formHelp(), foot...)
	}
	return foot
}
