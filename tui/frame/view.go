package frame

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// The smallest terminal that the form works in, in columns and rows.
const (
	MinWidth  = 60
	MinHeight = 20
)

const (
	labelWidth = 16 // columns of a field's name
	formLeast  = 39 // columns that the form needs beside the picture
)

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.Width < 1 || m.Height < 1 {
		return ""
	}
	if m.Small() {
		return m.TooSmall(MinWidth, MinHeight)
	}
	foot := m.Foot(m.enabled()...)
	if m.Notice.Text == "" {
		foot = foot[:1] // the form has more use for the rows, and the last keys go without saying
	}
	return m.Theme.Paint(m.Fit([]string{m.top()}, m.Width, 1) + "\n" + m.body(m.Width, m.Height-1-len(foot)) + "\n" + m.Fit(foot, m.Width, len(foot)))
}

// body is the picture beside the form, or one of them alone where both do not fit.
func (m Model) body(width, height int) string {
	if m.kept != "" {
		return m.Fit(m.onward(width-2), width, height)
	}
	if m.showing {
		return m.scene.Render(width, height, m.scene.Laid(m.turned, width, height), m.ink)
	}
	pw := m.pictureWidth()
	if pw == 0 {
		return m.Fit(m.window(width-2, height), width, height)
	}
	return m.Beside(m.scene.Render(pw, height, m.turned, m.ink), pw, m.window(width-pw-2, height))
}

// onward is what comes next once the frame is kept.
func (m Model) onward(width int) (out []string) {
	add := func(r theme.Role, mark, text string) { out = append(out, m.Hang(r, mark, screen.Line(text), width)...) }
	add(theme.OK, "", "kept as "+m.kept)
	out = append(out, "", m.Style(theme.Title, "What comes next"))
	add(theme.Text, "1 ", "for a job: frame = \""+m.kept+"\" in a job file, with technique and [tension]; or the frame of a racket in the book")
	add(theme.Text, "2 ", "pullcard check JOB.toml says what does not fit")
	add(theme.Text, "3 ", "string it: pullcard bench JOB.toml")
	if m.texts[fHoop] == "" {
		out = append(out, "")
		add(theme.Warn, "! ", "the hoop's size is not in it: lengths and bed cannot be worked out; pullcard frame "+m.kept+" adds it")
	}
	return out
}

func (m *Model) formWidth() int { return m.Width - m.pictureWidth() - 2 }

func (m Model) top() string {
	left := "NEW FRAME"
	if !m.fresh() {
		left = "EDIT " + theme.Clean(m.origin.name)
	}
	right := "nothing is typed yet"
	if m.kept != "" {
		right = ""
	} else if path := m.path(); path != "" {
		right = "to be saved as " + theme.Clean(path)
	}
	room := max(m.Width-2-lipgloss.Width(left)-2, 0)
	right = ansi.Truncate(right, room, m.Sign("…", "~"))
	return m.Style(theme.Title, left) + strings.Repeat(" ", max(room-lipgloss.Width(right), 0)+2) + m.Style(theme.Quiet, right)
}
