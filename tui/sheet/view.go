package sheet

import (
	"strconv"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// formLeast is how many columns the form needs beside the picture.
const formLeast = 52

// labelWidth is how many columns the name of a setting has.
const labelWidth = 22

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.Width < 1 || m.Height < 1 {
		return ""
	}
	if m.Small() {
		return m.TooSmall(60, 20)
	}
	foot := m.foot()
	head := m.head()
	return m.Theme.Paint(m.Fit([]string{head}, m.Width, 1) + "\n" + m.body() + "\n" + m.Fit(foot, m.Width, len(foot)))
}

// head is which sheet is tried on what, against which; where room is short the names alone, for they tell sheets apart.
func (m Model) head() string {
	on, against := m.name+" on "+m.trial.On[m.on], ", against "+m.trial.Beside[m.vs]
	for _, try := range [][2]string{{"TECHNIQUE SHEET  ", on + against}, {"SHEET  ", on + against}, {"", on + against}} {
		if text := m.Plain(try[1]); lipgloss.Width(try[0]+text) < m.Width-1 {
			return m.Style(theme.Title, try[0]) + m.Style(theme.Text, text)
		}
	}
	return m.Style(theme.Text, m.Plain(on))
}

// foot is the notice, or the keys: all of them where the sheet is edited, for how to keep it and to leave comes last, else those that a line
// has room for.
func (m Model) foot() []string {
	foot := m.Foot(m.enabled()...)
	if m.Notice.Text == "" && m.page != onForm {
		foot = foot[:min(1, len(foot))]
	}
	return foot
}

// rows is how many lines there are between head and foot.
func (m Model) rows() int { return m.Height - 1 - len(m.foot()) }

func (m Model) body() string {
	height := m.rows()
	switch {
	case m.page == onPicture && m.drawn:
		return m.scene.Render(m.Width, height, m.scene.Laid(m.view, m.Width, height), m.ink)
	case m.page == onWords:
		words := m.words(m.Room())
		return m.Fit(words[min(m.top, len(words)):], m.Width, height)
	}
	if wide := m.pictureWidth(); wide > 0 {
		return m.Beside(m.scene.Render(wide, height, m.view, m.ink), wide, m.window(m.Width-wide-2, height))
	}
	return m.Fit(m.window(m.Width-2, height), m.Width, height)
}

// pictureWidth is the room for the picture beside the form, 0 where it does not fit.
func (m Model) pictureWidth() int {
	if !m.drawn {
		return 0
	}
	return m.scene.Beside(m.view, m.Width, m.Height-2, formLeast)
}

// state says in a line or a few whether it can be strung so, what there is to do and what is otherwise.
func (m Model) state(width int) (out []string) {
	add := func(r theme.Role, text string) { out = append(out, m.Hang(r, "", screen.Line(text), width)...) }
	switch {
	case len(m.wrong)+len(m.other) > 0:
		add(theme.Danger, "something is wrong below; the racket is as it was before")
		return out
	case m.said != "":
		add(theme.Danger, m.said)
		return out
	case !m.drawn:
		return append(out, m.Style(theme.Quiet, "it is tried"))
	}
	add(theme.OK, "proven: "+strings.Join(m.tried.Totals, "; "))
	for i, text := range m.tried.Warnings {
		if i == 2 {
			add(theme.Warn, "? and more: ctrl+p twice")
			break
		}
		add(theme.Warn, "? "+text)
	}
	c := m.tried.Contrast
	if c.First == nil {
		add(theme.Quiet, "hands do the same, act by act")
		return out
	}
	acts := c.First.OwnActs
	text := "from step " + strconv.Itoa(c.First.Own) + " hands do otherwise"
	if len(acts) > 0 {
		text += ": " + acts[0]
	}
	add(theme.Current, text+"; what differs in all: "+strconv.Itoa(len(c.Differences)))
	return out
}

// words tell all that comes of the sheet: warnings, and topic by topic what differs.
func (m Model) words(width int) (out []string) {
	out = append(m.state(width), "")
	if m.said != "" || !m.drawn || len(m.wrong)+len(m.other) > 0 { // what there is was of another text, or against another sheet
		return out
	}
	for _, text := range m.tried.Warnings {
		out = append(out, m.Hang(theme.Warn, "! ", screen.Line(text), width)...)
	}
	for _, s := range m.tried.Contrast.Tell() {
		out = append(append(out, ""), m.Hang(theme.Title, "", m.Plain(s.Head), width)...)
		for _, l := range s.Lines {
			for i, line := range screen.Wrap(theme.Clean(l.Text), width-2) {
				out = append(out, m.Style(theme.Text, strings.Repeat("  ", min(i, 1))+line))
			}
		}
	}
	return out
}

// window is the form round the row in hand, below what comes of it.
func (m Model) window(width, height int) []string {
	state := append(m.state(width), "")
	if most := height / 2; len(state) > most {
		state = state[:most]
	}
	rows := make([]screen.Row, 0, len(m.clauses)+1)
	for _, c := range m.clauses {
		r := screen.Row{Label: c.Key, Text: c.Typed(m.text), Hint: c.Says, Wrong: m.wrong[c.Key]}
		if r.Text == "" {
			r.Text, r.Quiet = c.Usually(), true
		}
		if len(c.Takes) > 0 && len(c.Takes) < 8 {
			r.Hint += "; " + strings.Join(c.Takes, " or ")
		}
		rows = append(rows, r)
	}
	own := screen.Row{Label: "why", Text: m.why, Hint: "why it is otherwise from now on; it stays in its history"}
	if !m.trial.Kept {
		own = screen.Row{Label: "kept as", Text: m.name, Hint: "the name by which jobs name it"}
	}
	lines, from, to := m.Rows(append(rows, own), m.at, m.input, labelWidth, width)
	if m.onSave() {
		from, to = len(lines), len(lines)
	}
	lines = append(lines, m.SaveRow(m.onSave(), "enter keeps it", m.other, labelWidth, width)...)
	return append(state, screen.InSight(lines, from, to, height-len(state))...)
}
