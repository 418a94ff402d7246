// Package chart is the screen that tells whether the rackets are alike: control charts of the readings, one at a time.
//
// Call New with the series; the model answers with a LeaveMsg.
package chart

import (
	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/steady"
	"pullcard/tui/theme"
)

// Series are some readings, as all of them or those on one machine.
type Series struct {
	// Title says which.
	Title string
	// Chart is nil when there are too few of them for one.
	Chart *steady.Chart
	// Words tell of each marked point, in order, what it broke and what changed there.
	Words []string
	// Note is what else to know, as which readings are left out; it may be empty.
	Note string
}

// LeaveMsg says that the stringer goes back to where the screen was opened.
type LeaveMsg struct{}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Left, Right, Up, Down, Leave key.Binding }

func newKeyMap(ascii bool) KeyMap {
	leftRight, upDown := "←→", "↑↓"
	if ascii {
		leftRight, upDown = "left/right", "up/down"
	}
	return KeyMap{
		Left:  key.NewBinding(key.WithKeys("left", "h"), key.WithHelp(leftRight, "other readings")), // the help names both
		Right: key.NewBinding(key.WithKeys("right", "l", "tab"), key.WithHelp(leftRight, "other readings")),
		Up:    key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp(upDown, "scroll")),
		Down:  key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp(upDown, "scroll")),
		Leave: key.NewBinding(key.WithKeys("q", "esc", "backspace"), key.WithHelp("q", "back")),
	}
}

// Model is the screen.
type Model struct {
	series        []Series
	theme         theme.Theme
	ascii         bool
	keys          KeyMap
	help          help.Model
	at            int // which series is shown
	top           int // first line of the words in sight
	width, height int
}

// New is the screen with its series, the first one shown; ascii draws with ASCII characters only.
func New(list []Series, t theme.Theme, ascii bool) Model {
	m := Model{series: list, ascii: ascii, keys: newKeyMap(ascii)}
	if len(list) == 0 {
		m.series = []Series{{Title: "no readings"}}
	}
	return m.SetTheme(t).fit()
}

// Init starts the screen; it waits for nothing.
func (m Model) Init() tea.Cmd { return nil }

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.theme = t
	m.help = t.Help(m.ascii)
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.width, m.height = width, height
	return m.fit()
}

// fit enables the keys that can act and keeps words in sight.
func (m Model) fit() Model {
	m.top = min(m.top, m.last())
	m.keys.Left.SetEnabled(len(m.series) > 1)
	m.keys.Right.SetEnabled(len(m.series) > 1)
	m.keys.Up.SetEnabled(m.last() > 0)
	m.keys.Down.SetEnabled(m.last() > 0)
	return m
}

// Typing says that nothing is typed here.
func (m Model) Typing() bool { return false }

// Once says whether a key counts once however long it is held down: what leads away, which could lead on elsewhere.
func (m Model) Once(k tea.KeyMsg) bool { return key.Matches(k, m.keys.Leave) }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return m, nil
	}
	switch {
	case key.Matches(k, m.keys.Left):
		m.at, m.top = (m.at+len(m.series)-1)%len(m.series), 0
	case key.Matches(k, m.keys.Right):
		m.at, m.top = (m.at+1)%len(m.series), 0
	case key.Matches(k, m.keys.Up):
		m.top = max(m.top-1, 0)
	case key.Matches(k, m.keys.Down):
		m.top = min(m.top+1, m.last())
	case key.Matches(k, m.keys.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m.fit(), nil
}

// bindings are the keys that can act; the help of one arrow names both.
func (m Model) bindings() (out []key.Binding) {
	for _, b := range []key.Binding{m.keys.Left, m.keys.Up, m.keys.Leave} {
		if b.Enabled() {
			out = append(out, b)
		}
	}
	return out
}
