// Package bed is the screen with a job's numbers: lengths to cut, tensions, and what the strung bed will be, beside a map
// of its stiffness.
//
// Call New with a Sheet.
package bed

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/calc"
	"pullcard/tui/hoop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Sheet is what the screen shows.
type Sheet struct {
	// Title says whose racket it is, or which frame.
	Title string
	// Lengths and Bed are the numbers; each is nil where it could not be worked out, and Trouble then says why, every
	// problem on its own line. Bed has its Map.
	Lengths *calc.Lengths
	Bed     *calc.Bed
	Trouble string
	// Settings are what the machine is set to, and why; known without the hoop as well.
	Settings []calc.NamedSetting
	// Cautions are what to know of the machine's tensions.
	Cautions []string
	// Before are what else to know before the work.
	Before []string
	// Hoop works out what stringing does to the hoop; nil where there is none.
	Hoop func() hoop.Sheet
}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Up, Down, Hoop, Leave key.Binding }

// Model is the screen.
type Model struct {
	screen.Look
	sheet   Sheet
	keys    KeyMap
	numbers screen.Split
}

// New is the screen with a sheet; ascii draws the map with ASCII characters only.
func New(s Sheet, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, sheet: s, keys: KeyMap{
		Up:    key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑", "up")),
		Down:  key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Hoop:  key.NewBinding(key.WithKeys("h"), key.WithHelp("h", "hoop")),
		Leave: key.NewBinding(key.WithKeys("q", "esc", "backspace", "b"), key.WithHelp("q", "back")),
	}}
	m.keys.Hoop.SetEnabled(s.Hoop != nil)
	return m.SetTheme(t)
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m.SetSize(m.Width, m.Height)
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	m.Lay(&m.numbers, m.chart(), m.lines, &m.keys.Up, &m.keys.Down)
	return m
}

// Once says whether a key counts once however long it is held down: what leads away, which could lead on elsewhere.
func (m Model) Once(k tea.KeyMsg) bool { return key.Matches(k, m.keys.Leave, m.keys.Hoop) }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return m, nil
	}
	switch {
	case key.Matches(k, m.keys.Up):
		m.numbers.ScrollUp(1)
	case key.Matches(k, m.keys.Down):
		m.numbers.ScrollDown(1)
	case key.Matches(k, m.keys.Hoop):
		work := m.sheet.Hoop
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(hoop.New(work(), m.Theme, m.ASCII)), nil })
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	}
	return m, nil
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	head := m.Style(theme.Title, "NUMBERS") + "  " + m.Style(theme.Text, theme.Clean(m.sheet.Title))
	return m.Page([]string{head}, m.numbers.Body(), m.Scrolling(m.numbers.Model, m.keys.Up, m.keys.Down, m.keys.Hoop, m.keys.Leave))
}

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "The numbers of this job: what to cut, what every strand is pulled with, and how stiff the bed will be and at what tone it will ring.",
		Keys: []key.Binding{m.keys.Up, m.keys.Down, m.keys.Hoop, m.keys.Leave}}
}
