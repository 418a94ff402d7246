// Package rack is the screen of rackets that wait: jobs in progress first, then job files, then the demo.
//
// Call New with the items; the model answers with a ChosenMsg.
package rack

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/theme"
)

// Item is a racket that can go on the bench.
type Item struct {
	// Title says whose racket it is, Detail frame, technique and tensions, Mark where it stands.
	Title, Detail, Mark string
	// Group is the heading above it.
	Group string
	// UID names a job of the book, empty for any other item.
	UID string
	// Begun says that it is in work, Parked that it was set aside, Late that it may not be ready when it was promised.
	Begun, Parked, Late bool
	// Trouble says why it cannot be strung, every problem on its own line; empty when it can.
	Trouble string
}

// ChosenMsg says which item, counted from 0, goes on the bench.
type ChosenMsg int

// LeaveMsg says that the stringer leaves the program.
type LeaveMsg struct{}

// FrameMsg asks for the form of a new frame.
type FrameMsg struct{}

// ParkMsg asks to set the racket of a job aside, or to take it up again.
type ParkMsg struct {
	UID    string
	Parked bool
}

// BookMsg asks for the record book, and ChartMsg for the charts of the readings.
type (
	BookMsg  struct{}
	ChartMsg struct{}
)

// KeyMap is what the keys of the list do.
type KeyMap struct{ Up, Down, Choose, Park, Book, Chart, Frame, Leave key.Binding }

// Model is the list.
type Model struct {
	theme         theme.Theme
	keys          KeyMap
	help          help.Model
	items         []Item
	at            int
	notice        string
	wrong         bool // the notice says what went wrong
	width, height int
}

// New is a list of items.
func New(items []Item, t theme.Theme) Model {
	m := Model{items: items, help: help.New(), keys: KeyMap{
		Up:     key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑↓", "choose")),
		Down:   key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Choose: key.NewBinding(key.WithKeys("enter", " "), key.WithHelp("enter", "string it")),
		Park:   key.NewBinding(key.WithKeys("p"), key.WithHelp("p", "park")),
		Book:   key.NewBinding(key.WithKeys("b"), key.WithHelp("b", "the book")),
		Chart:  key.NewBinding(key.WithKeys("c"), key.WithHelp("c", "charts")),
		Frame:  key.NewBinding(key.WithKeys("f"), key.WithHelp("f", "new frame")),
		Leave:  key.NewBinding(key.WithKeys("q"), key.WithHelp("q", "leave")),
	}}
	return m.SetTheme(t)
}

// SetItems shows other items; the place in the list stays where it can.
func (m Model) SetItems(items []Item) Model {
	m.items = items
	m.at = min(m.at, max(len(items)-1, 0))
	return m
}

// SetNotice shows a line about what went wrong.
func (m Model) SetNotice(text string) Model {
	m.notice, m.wrong = text, true
	return m
}

// SetSaid shows a line about what was done.
func (m Model) SetSaid(text string) Model {
	m.notice, m.wrong = text, false
	return m
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.theme = t
	m.help.Styles.ShortKey, m.help.Styles.ShortDesc, m.help.Styles.ShortSeparator = t.Style(theme.Text), t.Style(theme.Quiet), t.Style(theme.Quiet)
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.width, m.height = width, height
	return m
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return m, nil
	}
	m.notice = ""
	switch {
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, max(len(m.items)-1, 0))
	case key.Matches(k, m.keys.Park) && m.canPark():
		item := m.items[m.at]
		return m, func() tea.Msg { return ParkMsg{item.UID, !item.Parked} }
	case key.Matches(k, m.keys.Book):
		return m, func() tea.Msg { return BookMsg{} }
	case key.Matches(k, m.keys.Chart):
		return m, func() tea.Msg { return ChartMsg{} }
	case key.Matches(k, m.keys.Frame):
		return m, func() tea.Msg { return FrameMsg{} }
	case key.Matches(k, m.keys.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	case key.Matches(k, m.keys.Choose) && len(m.items) > 0:
		if m.items[m.at].Trouble == "" {
			return m, func() tea.Msg { return ChosenMsg(m.at) }
		}
		return m.SetNotice("this job cannot be strung as it is; mend its file, then start again"), nil
	}
	return m, nil
}

// canPark says whether the chosen racket is in work.
func (m Model) canPark() bool { return len(m.items) > 0 && m.items[m.at].Begun }

// bindings are the keys that can act.
func (m Model) bindings() []key.Binding {
	k := m.keys
	out := []key.Binding{k.Up, k.Choose} // the help of up names both arrows
	if m.canPark() {
		if m.items[m.at].Parked {
			k.Park.SetHelp("p", "take up")
		}
		out = append(out, k.Park)
	}
	return append(out, k.Book, k.Chart, k.Frame, k.Leave)
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	lines, chosen := m.list()
	room := max(m.height-3, 1)
	if top := chosen - room + 3; top > 0 {
		lines = lines[min(top, max(len(lines)-room, 0)):]
	}
	if len(lines) > room {
		lines = lines[:room]
	}
	head := m.theme.Style(theme.Title).Render("pullcard") + m.theme.Style(theme.Quiet).Render("  which racket goes on the bench?")
	out := append([]string{head, ""}, lines...)
	for len(out) < m.height-1 {
		out = append(out, "")
	}
	foot := m.help.ShortHelpView(m.bindings())
	if m.notice != "" {
		role := theme.OK
		if m.wrong {
			role = theme.Danger
		}
		foot = m.theme.Style(role).Render(theme.Clean(m.notice))
	}
	out = append(out[:max(m.height-1, 0)], foot)
	for i := range out {
		out[i] = fill(" "+out[i], m.width)
	}
	return m.theme.Paint(strings.Join(out, "\n"))
}

// list is the lines of the items, and the line of the chosen one.
func (m Model) list() (lines []string, chosen int) {
	group := ""
	for i, item := range m.items {
		if item.Group != group {
			if group != "" {
				lines = append(lines, "")
			}
			group = item.Group
			lines = append(lines, m.theme.Style(theme.Quiet).Render(group))
		}
		mark, role := "  ", theme.Text
		if i == m.at {
			mark, role, chosen = "▶ ", theme.Current, len(lines)
		}
		lines = append(lines, m.theme.Style(role).Render(fmt.Sprintf("%s%s", mark, item.Title)))
		if item.Mark != "" {
			at := theme.OK
			if item.Late {
				at = theme.Warn
			}
			lines = append(lines, m.theme.Style(at).Render("    "+item.Mark))
		}
		lines = append(lines, m.theme.Style(theme.Quiet).Render("    "+item.Detail))
		if item.Trouble != "" && i == m.at {
			for _, l := range strings.Split(item.Trouble, "\n") {
				for _, part := range strings.Split(ansi.Hardwrap(l, max(m.width-8, 10), false), "\n") {
					lines = append(lines, m.theme.Style(theme.Danger).Render("    "+part))
				}
			}
		} else if item.Trouble != "" {
			lines = append(lines, m.theme.Style(theme.Danger).Render("    cannot be strung as it is"))
		}
	}
	return lines, chosen
}

func fill(line string, width int) string {
	line = ansi.Truncate(line, width, "…")
	return line + strings.Repeat(" ", max(width-lipgloss.Width(line), 0))
}
