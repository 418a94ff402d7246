// Package told is the screen of what the shop tells at length: a day, what is due, what is left of the strings.
//
// Call New with what tells it.
package told

import (
	"context"
	"regexp"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/report"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Sheet is what is told.
type Sheet struct {
	Title string
	// Text says what it is for, on the page of all keys.
	Text string
	// Tell tells it; by is how many times the arrow to the right was pressed, less those to the left. It is called away from the screen.
	Tell func(ctx context.Context, by int) ([]report.Section, error)
	// Turns says what the arrows do, as "day"; empty where they do nothing.
	Turns string
}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Earlier, Later, Up, Down, Leave key.Binding }

// Model is the screen.
type Model struct {
	screen.Look
	sheet Sheet
	keys  KeyMap
	by    int
	told  []report.Section
	heard bool // there was an answer, if only that it cannot be told
	text  viewport.Model
}

// toldMsg is what was told.
type toldMsg struct {
	by   int
	told []report.Section
	err  error
}

// New is the screen of a sheet, which Init reads.
func New(s Sheet, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, sheet: s, text: viewport.New(0, 0)}
	leftRight, upDown := m.Sign("←→", "left/right"), m.Sign("↑↓", "up/down")
	m.keys = KeyMap{
		Earlier: key.NewBinding(key.WithKeys("left", "h"), key.WithHelp(leftRight, s.Turns)), // the help names both
		Later:   key.NewBinding(key.WithKeys("right", "l"), key.WithHelp(leftRight, s.Turns)),
		Up:      key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp(upDown, "scroll")),
		Down:    key.NewBinding(key.WithKeys("down", "j", "pgdown", " "), key.WithHelp(upDown, "scroll")),
		Leave:   key.NewBinding(key.WithKeys("q", "esc", "backspace"), key.WithHelp("q", "back")),
	}
	m.keys.Earlier.SetEnabled(s.Turns != "")
	m.keys.Later.SetEnabled(s.Turns != "")
	return m.SetTheme(t)
}

// Init reads what is told.
func (m Model) Init() tea.Cmd {
	tell, by := m.sheet.Tell, m.by
	return func() tea.Msg {
		told, err := tell(context.Background(), by)
		return toldMsg{by, told, err}
	}
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m.lay()
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m.lay()
}

// hang is how many columns what of a line has no room in it is drawn in below.
const hang = 2

// columns are the blanks between two columns of a table.
var columns = regexp.MustCompile(` {3,}`)

// lay puts the lines into the text that scrolls.
func (m Model) lay() Model {
	m.text.Width, m.text.Height = m.Room(), max(m.Height-3, 1)
	var lines []string
	for _, s := range m.told {
		if len(s.Lines) == 0 {
			continue
		}
		if len(lines) > 0 {
			lines = append(lines, "")
		}
		if s.Head != "" {
			lines = append(lines, m.Style(theme.Title, m.Plain(s.Head)))
		}
		for _, l := range s.Lines {
			role, mark := theme.Text, ""
			if l.Warn {
				role, mark = theme.Warn, "! "
			}
			text, width := mark+strings.TrimRight(theme.Clean(l.Text), " "), m.Room()
			if lipgloss.Width(text) > width {
				width -= hang
			}
			for i, line := range screen.Wrap(text, width) {
				if i > 0 { // the blanks of a table's columns say nothing below
					line = strings.Repeat(" ", hang) + columns.ReplaceAllString(strings.TrimLeft(line, " "), "  ")
				}
				lines = append(lines, m.Style(role, line))
			}
		}
	}
	screen.Fill(&m.text, lines, &m.keys.Up, &m.keys.Down)
	return m
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case toldMsg:
		if msg.by != m.by {
			return m, nil
		}
		m.Notice, m.heard = screen.Notice{}, true
		if msg.err != nil {
			m.Notice = screen.Wrong(msg.err.Error())
		}
		m.told = msg.told
		return m.lay(), nil
	case screen.StirMsg, screen.BackMsg:
		return m, m.Init()
	case tea.KeyMsg:
		return m.press(msg)
	}
	return m, nil
}

func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	case key.Matches(k, m.keys.Earlier):
		m.by--
		return m, m.Init()
	case key.Matches(k, m.keys.Later):
		m.by++
		return m, m.Init()
	case key.Matches(k, m.keys.Up):
		m.text.ScrollUp(1)
	case key.Matches(k, m.keys.Down):
		m.text.ScrollDown(1)
	}
	return m, nil
}

// Once says whether a key counts once however long it is held down.
func (m Model) Once(k tea.KeyMsg) bool { return key.Matches(k, m.keys.Leave) }

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: m.sheet.Text, Keys: []key.Binding{m.keys.Earlier, m.keys.Up, m.keys.Leave}}
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	foot := m.Scrolling(m.text, m.keys.Earlier, m.keys.Up, m.Asks(), m.keys.Leave)
	if says := m.Says(); says != nil {
		foot = says
	}
	return m.Page([]string{m.Style(theme.Title, m.Plain(m.sheet.Title)), ""}, m.body(), foot)
}

func (m Model) body() []string {
	switch {
	case !m.heard:
		return []string{m.Style(theme.Quiet, "the book is being read")}
	case len(m.told) == 0:
		return nil
	}
	return strings.Split(m.text.View(), "\n")
}
