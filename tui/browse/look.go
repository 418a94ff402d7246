package browse

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/records"
	"pullcard/tui/theme"
)

// look is how things are written on these screens.
type look struct {
	theme theme.Theme
	ascii bool
	zone  *time.Location
}

func (l look) style(r theme.Role, text string) string { return l.theme.Style(r).Render(text) }

// sign is a character, or what stands for it where only ASCII may be used.
func (l look) sign(full, ascii string) string {
	if l.ascii {
		return ascii
	}
	return full
}

// wrap breaks a text between words, and long words anywhere, into lines no wider than so many columns.
func wrap(text string, width int) []string {
	return strings.Split(ansi.Wrap(text, max(width, 1), ""), "\n")
}

// line is a text of people in one line.
func line(text string) string { return theme.Clean(strings.Join(strings.Fields(text), " ")) }

// stamp writes a time of the book; the hour is left away where none was meant.
func (l look) stamp(at time.Time) string {
	at = at.In(l.zone)
	if at.Hour() == 0 && at.Minute() == 0 {
		return at.Format(time.DateOnly)
	}
	return at.Format("2006-01-02 15:04")
}

func (l look) day(at time.Time) string { return at.In(l.zone).Format(time.DateOnly) }

// value is what a field says to people; names are those of what fields refer to.
func (l look) value(f records.Field, text string, names map[string]string) string {
	if f.Of != "" && text != "" {
		return l.plain(cmp.Or(names[text], "one of the "+plural(f.Of)))
	}
	if f.Whole && text != "" {
		return fmt.Sprintf("%d lines", strings.Count(strings.TrimRight(text, "\n"), "\n")+1)
	}
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return l.stamp(at)
	}
	return text
}

func plural(n records.Name) string {
	k, _ := records.Find(n)
	return k.Plural
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	head, foot, rows := m.head(), m.foot(), m.rows()
	body, top := m.body(rows)
	if more := len(body); more > rows {
		body = body[top:min(top+rows, more)]
		head[len(head)-1] = m.look.style(theme.Quiet, fmt.Sprintf("  lines %d to %d of %d", top+1, top+len(body), more))
	}
	out := append(head, body...)
	for len(out) < len(head)+rows {
		out = append(out, "")
	}
	out = append(out, foot...)
	out = out[:min(len(out), m.height)]
	for i := range out {
		out[i] = theme.Fill(" "+out[i], m.width, m.look.ascii)
	}
	return m.look.theme.Paint(strings.Join(out, "\n"))
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

// room is how many columns a line has.
func (m Model) room() int { return max(m.width-2, 1) }

// rows is how many lines are between head and foot.
func (m Model) rows() int { return max(m.height-len(m.head())-len(m.foot()), 1) }

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
func (m Model) foot() (out []string) {
	if m.at == onForm {
		out = m.formHelp()
	}
	if m.notice.text == "" {
		return append(out, m.keyLines(m.enabled())...)
	}
	lines := wrap(theme.Clean(m.notice.text), m.room())
	for _, l := range lines[:min(len(lines), 3)] {
		out = append(out, m.look.style(m.notice.role, l))
	}
	return out
}

// keyLines shows keys in as many lines as they need.
func (m Model) keyLines(keys []key.Binding) (out []string) {
	from := 0
	for to := 1; to <= len(keys); to++ {
		if to == len(keys) || lipgloss.Width(m.help.ShortHelpView(keys[from:to+1])) > m.room() {
			out = append(out, m.help.ShortHelpView(keys[from:to]))
			from = to
		}
	}
	return out
}
