package tui

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/shop"
	"pullcard/tui/bed"
	"pullcard/tui/bench"
	"pullcard/tui/browse"
	"pullcard/tui/chart"
	"pullcard/tui/ear"
	"pullcard/tui/frame"
	"pullcard/tui/lot"
	"pullcard/tui/rack"
)

// What the house answers.
type (
	itemsMsg struct {
		items []rack.Item
		err   error
	}
	notParkedMsg struct{ err error }
	openedMsg    struct {
		job bench.Job
		err error
	}
	keptMsg struct {
		path string
		err  error
	}
	sheetMsg struct{ sheet bed.Sheet }
	lotMsg   struct {
		sheet shop.LotSheet
		book  lot.Book
		err   error
	}
	chartsMsg struct {
		series []chart.Series
		err    error
	}
)

// list asks the house for the rackets.
func (m Model) list() tea.Cmd {
	h := m.house
	return func() tea.Msg {
		items, err := h.Items()
		return itemsMsg{items, err}
	}
}

// toRack leads to the rack; wrong is what went wrong before, empty for nothing.
func (m Model) toRack(wrong string) (Model, tea.Cmd) {
	if wrong != "" {
		m.rack = m.rack.SetNotice(wrong)
	}
	m.at = onRack
	return m, m.list()
}

// leadRack follows what the rack asks for.
func (m Model) leadRack(msg tea.Msg) (Model, tea.Cmd, bool) {
	h := m.house
	switch msg := msg.(type) {
	case itemsMsg:
		m.rack = m.rack.SetItems(msg.items)
		if msg.err != nil {
			m.rack = m.rack.SetNotice(msg.err.Error())
		}
		return m, nil, true
	case rack.ChosenMsg:
		m.from = onRack
		return m, opening(func() (bench.Job, error) { return h.Open(int(msg)) }), true
	case rack.ParkMsg:
		return m, func() tea.Msg {
			if err := h.Park(context.Background(), msg.UID, msg.Parked); err != nil {
				return notParkedMsg{err}
			}
			return m.list()()
		}, true
	case notParkedMsg:
		m.rack = m.rack.SetNotice(msg.err.Error())
		return m, nil, true
	case rack.LeaveMsg:
		return m, tea.Quit, true
	case rack.BookMsg:
		m.at = onBook
		return m, m.book.Init(), true
	case rack.ChartMsg:
		return m, func() tea.Msg {
			series, err := h.Charts()
			return chartsMsg{series, err}
		}, true
	case chartsMsg:
		if m.at != onRack {
			return m, nil, true // it came too late
		}
		if msg.err != nil {
			m.rack = m.rack.SetNotice(msg.err.Error())
			return m, nil, true
		}
		m.chart, m.at = chart.New(msg.series, m.opts.Bench.Theme, m.opts.Bench.ASCII).SetSize(m.width, m.height), onChart
		return m, m.chart.Init(), true
	case chart.LeaveMsg:
		m, cmd := m.toRack("")
		return m, cmd, true
	}
	return m, nil, false
}

func opening(open func() (bench.Job, error)) tea.Cmd {
	return func() tea.Msg {
		job, err := open()
		return openedMsg{job, err}
	}
}

// leadBench follows what the bench and its numbers ask for.
func (m Model) leadBench(msg tea.Msg) (Model, tea.Cmd, bool) {
	switch msg := msg.(type) {
	case openedMsg:
		m, cmd := m.opened(msg)
		return m, cmd, true
	case bench.NumbersMsg:
		return m, func() tea.Msg { return sheetMsg{msg.Work()} }, true
	case sheetMsg:
		if m.at != onBench {
			return m, nil, true // it came too late
		}
		m.numbers, m.at = bed.New(msg.sheet, m.opts.Bench.Theme, m.opts.Bench.ASCII).SetSize(m.width, m.height), onNumbers
		return m, nil, true
	case bench.TapMsg:
		m.ear, m.at = ear.New(msg.Title, msg.Ear, m.opts.Bench.Theme, m.opts.Bench.ASCII).SetSize(m.width, m.height), onEar
		return m, m.ear.Init(), true
	case ear.LeaveMsg:
		m.at = onBench
		return m, nil, true
	case bed.LeaveMsg:
		m.at = onBench
		return m, nil, true
	case bench.LeaveMsg:
		if m.opts.Straight != nil {
			return m, tea.Quit, true
		}
		m.rack = m.rack.SetSaid(msg.Notice)
		if m.at = m.from; m.at == onBook {
			return m, m.book.Init(), true
		}
		return m, m.list(), true
	}
	return m, nil, false
}

func (m Model) opened(msg openedMsg) (Model, tea.Cmd) {
	b, err := bench.Model{}, msg.err
	if err == nil {
		b, err = bench.New(msg.job, m.opts.Bench)
	}
	if err != nil {
		return m.toRack(err.Error())
	}
	m.bench, m.at = b.SetSize(m.width, m.height), onBench
	return m, m.bench.Init()
}

// leadFrame follows what the form of a layout asks for.
func (m Model) leadFrame(msg tea.Msg) (Model, tea.Cmd, bool) {
	switch msg := msg.(type) {
	case rack.FrameMsg:
		set := frame.Settings{Theme: m.opts.Bench.Theme, ASCII: m.opts.Bench.ASCII, Turn: m.opts.Bench.Turn}
		m.frame, m.at = frame.New(set).SetSize(m.width, m.height), onFrame
		return m, m.frame.Init(), true
	case frame.SavedMsg:
		h := m.house
		return m, func() tea.Msg {
			path, err := h.SaveFrame(msg.Name, msg.Text)
			return keptMsg{path, err}
		}, true
	case keptMsg:
		if msg.err != nil {
			m.frame = m.frame.SetNotice(msg.err.Error())
			return m, nil, true
		}
		m.rack = m.rack.SetSaid("kept as " + msg.path)
		m, cmd := m.fromFrame()
		return m, cmd, true
	case frame.CancelMsg:
		m, cmd := m.fromFrame()
		return m, cmd, true
	}
	return m, nil, false
}

// fromFrame leaves the form: to the rack, or out of a program that was only the form.
func (m Model) fromFrame() (Model, tea.Cmd) {
	if m.opts.Frame != nil {
		return m, tea.Quit
	}
	return m.toRack("")
}

// leadBook follows what the book and the page of a lot ask for.
func (m Model) leadBook(msg tea.Msg) (Model, tea.Cmd, bool) {
	h := m.house
	switch msg := msg.(type) {
	case browse.JobMsg:
		m.from = onBook
		return m, opening(func() (bench.Job, error) { return h.OpenJob(msg.UID) }), true
	case browse.LotMsg:
		return m, func() tea.Msg {
			sheet, book, err := h.Lot(msg.UID)
			return lotMsg{sheet, book, err}
		}, true
	case lotMsg:
		if m.at != onBook {
			return m, nil, true // it came too late
		}
		if msg.err != nil {
			m, cmd := m.toRack(msg.err.Error())
			return m, cmd, true
		}
		m.lot, m.at = lot.New(msg.sheet, msg.book, m.opts.Bench.Theme, m.opts.Bench.ASCII).SetSize(m.width, m.height), onLot
		return m, m.lot.Init(), true
	case lot.LeaveMsg:
		m.at = onBook
		return m, m.book.Init(), true
	case browse.LeaveMsg:
		m, cmd := m.toRack("")
		return m, cmd, true
	}
	return m, nil, false
}
