package screen

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/theme"
)

// Row is a question of a form.
type Row struct {
	Label, Text string
	Quiet       bool     // the text is only what is usual
	Done        bool     // it was answered
	Hint        string   // said of the one in hand
	Wrong       []string // what is wrong with it
	Doubt       []string
}

// Rows are the lines of rows whose labels have so many columns, and the first and last one of the row in hand, where the line that is typed in stands.
func (l Look) Rows(rows []Row, at int, line Typed, label, width int) (lines []string, from, to int) {
	for i, r := range rows {
		mark, role := " ", theme.Text
		switch {
		case i == at:
			mark, role, from = l.Sign("▶", ">"), theme.Current, len(lines)
		case len(r.Wrong) > 0:
			mark, role = "!", theme.Danger
		case r.Done:
			mark, role = l.Sign("✓", "+"), theme.OK
		}
		text := l.Style(theme.Text, theme.Clean(r.Text))
		switch {
		case i == at:
			text = line.show()
		case r.Quiet:
			text = l.Style(theme.Quiet, theme.Clean(r.Text))
		}
		lines = append(lines, l.Style(role, mark)+" "+l.Style(theme.Quiet, fmt.Sprintf("%-*s", label, r.Label))+text)
		add := func(role theme.Role, mark, text string) {
			lines = append(lines, l.Hang(role, "  "+mark, Line(text), width)...)
		}
		if i == at {
			add(theme.Quiet, "  ", r.Hint)
		}
		for _, text := range r.Wrong {
			add(theme.Danger, "! ", text)
		}
		for _, text := range r.Doubt {
			add(theme.Warn, "? ", text)
		}
		if i == at {
			to = len(lines) - 1
		}
	}
	return lines, from, to
}

// SaveRow is the row below those, which keeps what was typed, and what is wrong beyond them.
func (l Look) SaveRow(inHand bool, text string, wrong []string, label, width int) []string {
	mark, role := " ", theme.Quiet
	if inHand {
		mark, role = l.Sign("▶", ">"), theme.Current
	}
	out := []string{l.Style(role, mark) + " " + l.Style(role, fmt.Sprintf("%-*s", label, "save")) + l.Style(role, text)}
	for _, problem := range wrong {
		out = append(out, l.Hang(theme.Danger, "  ", Line("! "+problem), width)...)
	}
	return out
}

// InSight is the part of some lines round those from one to another, as many as there is room for.
func InSight(lines []string, from, to, height int) []string {
	if len(lines) <= height {
		return lines
	}
	top := min(max(0, to+2-height), from, len(lines)-height)
	return lines[top : top+height]
}

// Typed is the line of a form that is typed in.
type Typed struct{ textinput.Model }

// NewTyped is an empty one.
func NewTyped() Typed {
	l := Typed{textinput.New()}
	l.CharLimit, l.Prompt = 400, ""
	l.Cursor.SetMode(cursor.CursorStatic)
	l.Focus()
	return l
}

// Dress gives it the looks of a theme.
func (l Typed) Dress(t theme.Theme) Typed {
	l.TextStyle, l.PlaceholderStyle = t.Style(theme.Current), t.Style(theme.Quiet)
	l.Cursor.Style, l.Cursor.TextStyle = t.Style(theme.Current), t.Style(theme.Quiet)
	return l
}

// Load puts a text into it, and one that is shown where there is none; wide is how many columns it has.
func (l Typed) Load(text, usual string, wide int) Typed {
	if l.Value() != text {
		l.SetValue(text)
		l.CursorEnd()
	}
	l.Placeholder = usual
	if wide = max(wide, 8); wide != l.Width {
		l.Width = wide
		at := l.Position()
		l.CursorStart() // what the new width has room for is in sight again
		l.SetCursor(at)
	}
	return l
}

// Type gives it a message, and says whether its text changed.
func (l Typed) Type(msg tea.Msg) (line Typed, changed bool, cmd tea.Cmd) {
	if k, ok := msg.(tea.KeyMsg); ok {
		k.Runes = theme.Typed(k.Runes)
		msg = k
	}
	before := l.Value()
	l.Model, cmd = l.Update(msg)
	return l, l.Value() != before, cmd
}

// show is the line; it takes out control characters itself, but not those that turn the writing.
func (l Typed) show() string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, l.View())
}

// Beside puts lines at the right of a picture that is so many columns wide.
func (l Look) Beside(picture string, wide int, lines []string) string {
	rows := strings.Split(picture, "\n")
	right := strings.Split(l.Fit(lines, l.Width-wide, len(rows)), "\n")
	for i := range rows {
		rows[i] += right[i]
	}
	return strings.Join(rows, "\n")
}
