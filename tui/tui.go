// Package tui is the full-screen program: a stack of screens, of which the last one is seen.
//
// Call Rack for the screens of a shop, New with the first of them, and run the Model with bubbletea.
package tui

import (
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Options are how the program starts.
type Options struct {
	Theme theme.Theme
	// ASCII shows ASCII characters only.
	ASCII bool
	// Now is the clock.
	Now func() time.Time
	// Hold is the time within which the same key again is a held key and counts once.
	Hold time.Duration
	// Notice is what to say on the first screen, empty for nothing.
	Notice string
}

// Model is the whole program.
type Model struct {
	opts          Options
	stack         []layer // the last one is up
	count         int     // of the layers so far
	width, height int
	recent        recent
	burst         bool   // keys were dropped, which the screen says until the next one
	helps         int    // which page of the keys of the screen that is up is shown, 0 for none
	sign          string // how the bench stands to its room, empty where all is well
}

// layer is a screen on the stack, with a number by which its messages are known.
type layer struct {
	screen.Screen
	id int
}

// ThemeMsg changes how the screens look, once the terminal has said what its background is.
type ThemeMsg struct{ Theme theme.Theme }

// RoomMsg says how the bench stands to its room: a small sign on every screen until the next one, empty for none.
type RoomMsg struct{ Sign string }

type (
	// sentMsg is a message by which a screen leads elsewhere or that is for it alone, and which screen that was.
	sentMsg struct {
		from int
		msg  tea.Msg
	}
	// openedMsg is the screen that was asked for.
	openedMsg struct {
		from    int
		screen  screen.Screen
		instead bool
		err     error
	}
)

// New is the program on its first screen.
func New(first screen.Screen, o Options) Model {
	m := Model{opts: o, stack: []layer{{first, 1}}, count: 1}
	if o.Notice != "" {
		m, _ = m.pass(0, screen.Said(o.Notice))
	}
	return m
}

// Init starts the first screen.
func (m Model) Init() tea.Cmd { return by(m.up().id, m.up().Init()) }

func (m Model) up() layer { return m.stack[len(m.stack)-1] }

// Update leads messages to the screens that they are for.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		return m.each(func(s screen.Screen) screen.Screen { return s.SetSize(msg.Width, msg.Height) }), nil
	case ThemeMsg:
		m.opts.Theme = msg.Theme
		return m.each(func(s screen.Screen) screen.Screen { return s.SetTheme(msg.Theme) }), nil
	case RoomMsg:
		m.sign = msg.Sign
		return m, nil
	case screen.StirMsg:
		return m.pass(len(m.stack)-1, msg)
	case tea.KeyMsg:
		return m.pressed(msg)
	case sentMsg:
		if say, ok := msg.msg.(screen.Notice); ok {
			if i := slices.IndexFunc(m.stack, func(l layer) bool { return l.id == msg.from }); i >= 0 {
				return m.pass(i, say)
			}
			return m, nil // to whom it was said has gone
		}
		if msg.from != m.up().id {
			return m, nil // another screen has come up meanwhile
		}
		return m.led(msg)
	case openedMsg:
		switch top := len(m.stack) - 1; {
		case msg.from != m.up().id:
			return m, nil
		case msg.err != nil:
			return m.pass(top, screen.Wrong(msg.err.Error()))
		case msg.instead:
			m.stack = slices.Clone(m.stack[:top])
		}
		return m.push(msg.screen)
	}
	var cmds []tea.Cmd
	for i := range m.stack {
		var cmd tea.Cmd
		m, cmd = m.pass(i, msg)
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// led follows a screen that leads elsewhere.
func (m Model) led(msg sentMsg) (Model, tea.Cmd) {
	if ask, ok := msg.msg.(screen.OpenMsg); ok {
		return m, func() tea.Msg {
			s, err := ask.Open()
			return openedMsg{msg.from, s, ask.Instead, err}
		}
	}
	left := m.up().Screen
	if m.stack = slices.Clone(m.stack[:len(m.stack)-1]); len(m.stack) == 0 {
		m.stack = []layer{{left, 0}}
		return m, tea.Quit
	}
	top := len(m.stack) - 1
	m, cmd := m.pass(top, screen.BackMsg{Left: left})
	if said := msg.msg.(screen.LeaveMsg).Said; said != "" {
		m, _ = m.pass(top, screen.Said(said))
	}
	return m, cmd
}

// push puts a screen on top.
func (m Model) push(s screen.Screen) (Model, tea.Cmd) {
	m.count++
	m.stack = append(slices.Clone(m.stack), layer{s.SetTheme(m.opts.Theme).SetSize(m.width, m.height), m.count})
	return m, m.Init()
}

// pass hands a message to a screen.
func (m Model) pass(i int, msg tea.Msg) (Model, tea.Cmd) {
	s, cmd := m.stack[i].Update(msg)
	m.stack = slices.Clone(m.stack)
	m.stack[i].Screen = s
	return m, by(m.stack[i].id, cmd)
}

// each changes every screen.
func (m Model) each(change func(screen.Screen) screen.Screen) Model {
	m.stack = slices.Clone(m.stack)
	for i, l := range m.stack {
		m.stack[i].Screen = change(l.Screen)
	}
	return m
}

// by has the messages that lead elsewhere say from which screen they are.
func by(id int, cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		switch msg := cmd().(type) {
		case screen.OpenMsg, screen.LeaveMsg, screen.Notice:
			return sentMsg{id, msg}
		case tea.BatchMsg:
			for i, c := range msg {
				msg[i] = by(id, c)
			}
			return msg
		default:
			return msg
		}
	}
}

// help is the page of the keys that is shown, and whether there is another after it.
func (m Model) help() (frame string, more bool) {
	return m.up().Help().Page(screen.Look{Theme: m.opts.Theme, ASCII: m.opts.ASCII, Width: m.width, Height: m.height}, m.helps)
}

// View is the screen that is up.
func (m Model) View() string {
	view := m.up().View()
	if m.helps > 0 {
		view, _ = m.help()
	}
	frame := m.signed(m.warned(view))
	if m.opts.ASCII {
		return theme.ASCII(frame)
	}
	return frame
}
