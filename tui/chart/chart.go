// Package chart is the screen that tells whether the rackets are alike: control charts of the readings, one at a time.
//
// Call New with a Book and the series.
package chart

import (
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Series are some readings, as all of them or those on one machine.
type Series = shop.Chart

// Book is where the readings are kept. Its methods are called away from the screen.
type Book interface {
	// Charts are the readings, all of them first.
	Charts() ([]Series, error)
	// Decide is the screen on which a person decides on the baseline of a series.
	Decide(Series) (screen.Screen, error)
}

// readMsg are the readings as they are now.
type readMsg struct {
	series []Series
	err    error
}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Left, Right, Up, Down, Decide, Leave key.Binding }

func newKeyMap(ascii bool) KeyMap {
	leftRight, upDown := "←→", "↑↓"
	if ascii {
		leftRight, upDown = "left/right", "up/down"
	}
	return KeyMap{
		Left:   key.NewBinding(key.WithKeys("left", "h"), key.WithHelp(leftRight, "readings")), // the help names both
		Right:  key.NewBinding(key.WithKeys("right", "l", "tab"), key.WithHelp(leftRight, "readings")),
		Up:     key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp(upDown, "scroll")),
		Down:   key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp(upDown, "scroll")),
		Decide: key.NewBinding(key.WithKeys("b"), key.WithHelp("b", "baseline")),
		Leave:  key.NewBinding(key.WithKeys("q", "esc", "backspace"), key.WithHelp("q", "back")),
	}
}

// Model is the screen.
type Model struct {
	screen.Look
	book   Book
	series []Series
	keys   KeyMap
	at     int // which series is shown
	words  viewport.Model
}

// New is the screen with its series, the first one shown; ascii draws with ASCII characters only.
func New(b Book, list []Series, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, book: b, keys: newKeyMap(ascii)}
	return m.take(list).SetTheme(t)
}

// take takes the readings, and stays with those that were shown.
func (m Model) take(list []Series) Model {
	if len(list) == 0 {
		list = []Series{{Title: "no readings"}}
	}
	m.series, m.at = list, min(m.at, len(list)-1)
	return m
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m.fit()
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m.fit()
}

// fit divides the room between plot and words: all of the words are in sight where they leave the plot two thirds of it.
func (m Model) fit() Model {
	lines, free := m.lines(), m.free()
	m.words.Width, m.words.Height = m.Room(), free
	if m.shown().Chart != nil {
		most := max(free/3, min(leastWords, free-leastPlot))
		m.words.Height = max(min(len(lines), most), 0)
	}
	screen.Fill(&m.words, lines, &m.keys.Up, &m.keys.Down)
	m.keys.Left.SetEnabled(len(m.series) > 1)
	m.keys.Right.SetEnabled(len(m.series) > 1)
	m.keys.Decide.SetEnabled(m.shown().Baseline != (records.Baseline{}))
	return m
}

// say shows a notice until the next key.
func (m Model) say(n screen.Notice) Model {
	m.Notice = n
	return m.fit()
}

// turn shows another series, from its first line.
func (m Model) turn(by int) Model {
	m.at = (m.at + by + len(m.series)) % len(m.series)
	m.words.GotoTop()
	return m.fit()
}

// Once says whether a key counts once however long it is held down: what leads away, which could lead on elsewhere.
func (m Model) Once(k tea.KeyMsg) bool { return key.Matches(k, m.keys.Leave, m.keys.Decide) }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		if m.Notice != (screen.Notice{}) {
			m = m.say(screen.Notice{})
		}
		return m.press(msg)
	case screen.Notice:
		return m.say(msg), nil
	case screen.BackMsg:
		book := m.book
		return m, func() tea.Msg {
			list, err := book.Charts()
			return readMsg{list, err}
		}
	case readMsg:
		if msg.err != nil {
			return m.say(screen.Wrong(msg.err.Error())), nil
		}
		return m.take(msg.series).fit(), nil
	}
	return m, nil
}

func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Decide):
		book, of := m.book, m.shown()
		return m, screen.Open(func() (screen.Screen, error) { return book.Decide(of) })
	case key.Matches(k, m.keys.Left):
		return m.turn(-1), nil
	case key.Matches(k, m.keys.Right):
		return m.turn(1), nil
	case key.Matches(k, m.keys.Up):
		m.words.ScrollUp(1)
	case key.Matches(k, m.keys.Down):
		m.words.ScrollDown(1)
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	}
	return m, nil
}
