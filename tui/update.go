package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/theme"
)

// Update leads messages to the screen that they are for.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		return m.resized(msg.Width, msg.Height), nil
	case ThemeMsg:
		return m.themed(msg.Theme), nil
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	for _, lead := range []func(Model, tea.Msg) (Model, tea.Cmd, bool){Model.leadRack, Model.leadBench, Model.leadFrame, Model.leadBook} {
		if next, cmd, led := lead(m, msg); led {
			return next, cmd
		}
	}
	return m.pass(msg)
}

// resized fits the screens that are there into a terminal of another size.
func (m Model) resized(width, height int) Model {
	m.width, m.height = width, height
	m.rack, m.book = m.rack.SetSize(width, height), m.book.SetSize(width, height)
	switch m.at {
	case onBench:
		m.bench = m.bench.SetSize(width, height)
	case onFrame:
		m.frame = m.frame.SetSize(width, height)
	case onEar:
		m.bench, m.ear = m.bench.SetSize(width, height), m.ear.SetSize(width, height)
	case onNumbers:
		m.bench, m.numbers = m.bench.SetSize(width, height), m.numbers.SetSize(width, height)
	case onLot:
		m.lot = m.lot.SetSize(width, height)
	case onChart:
		m.chart = m.chart.SetSize(width, height)
	}
	return m
}

// themed changes the looks of the screens that are there.
func (m Model) themed(t theme.Theme) Model {
	m.opts.Bench.Theme, m.rack, m.book = t, m.rack.SetTheme(t), m.book.SetTheme(t)
	switch m.at {
	case onBench:
		m.bench = m.bench.SetTheme(t)
	case onFrame:
		m.frame = m.frame.SetTheme(t)
	case onEar:
		m.bench, m.ear = m.bench.SetTheme(t), m.ear.SetTheme(t)
	case onNumbers:
		m.bench, m.numbers = m.bench.SetTheme(t), m.numbers.SetTheme(t)
	case onLot:
		m.lot = m.lot.SetTheme(t)
	case onChart:
		m.chart = m.chart.SetTheme(t)
	}
	return m
}

// pass hands a message to the screen that is up.
func (m Model) pass(msg tea.Msg) (Model, tea.Cmd) {
	var cmd tea.Cmd
	switch m.at {
	case onBench:
		m.bench, cmd = m.bench.Update(msg)
	case onFrame:
		m.frame, cmd = m.frame.Update(msg)
	case onEar:
		m.ear, cmd = m.ear.Update(msg)
	case onNumbers:
		if _, pressed := msg.(tea.KeyMsg); !pressed { // the bench goes on behind its numbers: its minutes, what it records
			m.bench, cmd = m.bench.Update(msg)
			break
		}
		m.numbers, cmd = m.numbers.Update(msg)
	case onBook:
		m.book, cmd = m.book.Update(msg)
	case onLot:
		m.lot, cmd = m.lot.Update(msg)
	case onChart:
		m.chart, cmd = m.chart.Update(msg)
	default:
		m.rack, cmd = m.rack.Update(msg)
	}
	return m, cmd
}
