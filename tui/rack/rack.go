// Package rack is the screen of rackets that wait: jobs in progress first, then job files, then the demo.
//
// Call New with the items; the model answers with a ChosenMsg.
package rack

import (
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"pullcard/patterns/harmless"
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
	m := Model{items: items, keys: KeyMap{
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
	m.help = t.Help(false)
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

// Typing says that nothing is typed here.
func (m Model) Typing() bool { return false }

// Once says whether a key counts once however long it is held down: all but what leads through the list.
func (m Model) Once(k tea.KeyMsg) bool { return !key.Matches(k, m.keys.Up, m.keys.Down) }

// canPark says whether the chosen racket is in work.
func (m Model) canPark() bool { return len(m.items) > 0 && m.items[m.at].Begun }

// bindings are the keys that can act.
func (m Model) bindings() []key.Binding {
	k := m.keys
	if m.width < 90 { // on the narrowest screens the arrows and the charts are left out
		k.Choose.SetHelp("enter", "string")
		k.Book.SetHelp("b", "book")
		k.Frame.SetHelp("f", "frame")
	}
	out := []key.Binding{k.Up, k.Choose} // the help of up names both arrows
	if m.width < 80 {
		out = out[1:]
	}
	if m.canPark() {
		if m.items[m.at].Parked {
			k.Park.SetHelp("p", "take up")
		}
		out = append(out, k.Park)
	}
	out = append(out, k.Book)
	if m.width >= 70 {
		out = append(out, k.Chart)
	}
	return append(out, k.Frame, k.Leave)
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	lines, from, to := m.list()
	room := max(m.height-3, 1)
	if to > room { // all that is said of the chosen one is in sight, its first lines where that is too much
		lines = lines[min(to-room, from):]
	}
	lines = lines[:min(len(lines), room)]
	head := m.theme.Style(theme.Title).Render("pullcard") + m.theme.Style(theme.Quiet).Render("  which racket goes on the bench?")
	out := append([]string{head, ""}, lines...)
	for len(out) < m.height-1 {
		out = append(out, "")
	}
	foot := m.foot()
	out = append(out[:max(m.height-len(foot), 0)], foot...)
	for i := range out {
		out[i] = theme.Fill(" "+out[i], m.width, false)
	}
	return m.theme.Paint(strings.Join(out, "\n"))
}

// foot is the keys, or what there is to say, in as many lines as that takes.
func (m Model) foot() []string {
	if m.notice == "" {
		return []string{m.help.ShortHelpView(m.bindings())}
	}
	role := theme.OK
	if m.wrong {
		role = theme.Danger
	}
	lines := strings.Split(ansi.Wrap(theme.Clean(m.notice), max(m.width-2, 1), ""), "\n")
	for i, line := range lines {
		lines[i] = m.theme.Style(role).Render(line)
	}
	return lines[:min(len(lines), max(m.height-3, 1))]
}

// list is the lines of the items; those of the chosen one stand from a line on and end before another.
func (m Model) list() (lines []string, from, to int) {
	group := ""
	for i, item := range m.items {
		start := len(lines)
		if item.Group != group {
			if group != "" {
				lines = append(lines, "")
				start++
			}
			group = item.Group
			lines = append(lines, m.theme.Style(theme.Quiet).Render(theme.Clean(group)))
		}
		lines = append(lines, m.item(item, i == m.at)...)
		if i == m.at {
			from, to = start, len(lines)
		}
	}
	return lines, from, to
}

// item is the lines of one item; all that is wrong with it is told of the chosen one.
func (m Model) item(item Item, chosen bool) []string {
	mark, role, at, trouble := "  ", theme.Text, theme.OK, item.Trouble
	if chosen {
		mark, role = "▶ ", theme.Current
	} else if trouble != "" {
		trouble = "cannot be strung as it is"
	}
	said := item.Mark
	if item.Late {
		at, said = theme.Warn, "! "+said
	}
	lines := []string{m.theme.Style(role).Render(mark + theme.Clean(item.Title))}
	lines = append(lines, m.below(at, said)...)
	lines = append(lines, m.below(theme.Quiet, item.Detail)...)
	return append(lines, m.below(theme.Danger, trouble)...)
}

// below is what stands below a title, none of it cut.
func (m Model) below(r theme.Role, text string) (lines []string) {
	if text == "" {
		return nil
	}
	for _, l := range strings.Split(ansi.Wrap(harmless.Page(text), max(m.width-6, 10), ""), "\n") {
		lines = append(lines, m.theme.Style(r).Render("    "+l))
	}
	return lines
}
