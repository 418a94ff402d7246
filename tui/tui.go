// Package tui is the full-screen program: it shows the rack of waiting rackets and the bench, and leads from one to
// the other.
//
// Call New with a House, which knows the jobs and keeps the book, and run the Model with bubbletea.
package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/bed"
	"pullcard/tui/bench"
	"pullcard/tui/frame"
	"pullcard/tui/ledger"
	"pullcard/tui/rack"
	"pullcard/tui/theme"
)

// House is what the screens need of the shop: its jobs, and a bench's job opened for one of them.
type House interface {
	// Items lists the rackets that wait, those in progress first.
	Items() ([]rack.Item, error)
	// Open makes the i-th item, counted from 0, ready for the bench.
	Open(i int) (bench.Job, error)
	// SaveFrame keeps a layout that was typed and says where; a file that is there already is not overwritten unless
	// it is the one that was edited.
	SaveFrame(name string, text []byte) (path string, err error)
	// OpenJob makes a job of the book ready for the bench, by the UID of its record.
	OpenJob(uid string) (bench.Job, error)
	// Park sets the racket of a job in work aside, or takes it up again.
	Park(uid string, parked bool) error
	ledger.Book
}

// Options are how the program starts.
type Options struct {
	Bench bench.Settings
	// Straight is the job that is on the bench from the start; nil shows the rack first.
	Straight *bench.Job
	// Frame is the form that is up from the start; the program ends with it.
	Frame *frame.Model
}

type screen uint8

const (
	onRack screen = iota
	onBench
	onFrame
	onNumbers
	onBook
)

// Model is the whole program.
type Model struct {
	house         House
	opts          Options
	at, from      screen // from is where the bench leads back to
	rack          rack.Model
	bench         bench.Model
	frame         frame.Model
	numbers       bed.Model
	book          ledger.Model
	width, height int
}

type itemsMsg struct {
	items []rack.Item
	err   error
}

type sheetMsg struct{ sheet bed.Sheet }

type keptMsg struct {
	path string
	err  error
}

type openedMsg struct {
	job bench.Job
	err error
}

// ThemeMsg changes how the screens look, once the terminal has said what its ground is.
type ThemeMsg struct{ Theme theme.Theme }

// New is the program on its first screen. The error says why a job cannot go on the bench.
func New(h House, o Options) (Model, error) {
	m := Model{house: h, opts: o, rack: rack.New(nil, o.Bench.Theme), book: ledger.New(h, o.Bench.Theme, o.Bench.ASCII, o.Bench.Now)}
	if o.Frame != nil {
		m.frame, m.at = *o.Frame, onFrame
		return m, nil
	}
	if o.Straight == nil {
		return m, nil
	}
	b, err := bench.New(*o.Straight, o.Bench)
	m.bench, m.at = b, onBench
	return m, err
}

// Init starts the first screen.
func (m Model) Init() tea.Cmd {
	switch m.at {
	case onBench:
		return m.bench.Init()
	case onFrame:
		return m.frame.Init()
	}
	return m.list()
}

func (m Model) list() tea.Cmd {
	h := m.house
	return func() tea.Msg {
		items, err := h.Items()
		return itemsMsg{items, err}
	}
}

// Update leads messages to the screen that they are for.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.rack, m.book = m.rack.SetSize(msg.Width, msg.Height), m.book.SetSize(msg.Width, msg.Height)
		switch m.at {
		case onBench:
			m.bench = m.bench.SetSize(msg.Width, msg.Height)
		case onFrame:
			m.frame = m.frame.SetSize(msg.Width, msg.Height)
		case onNumbers:
			m.bench, m.numbers = m.bench.SetSize(msg.Width, msg.Height), m.numbers.SetSize(msg.Width, msg.Height)
		}
		return m, nil
	case ThemeMsg:
		m.opts.Bench.Theme, m.rack, m.book = msg.Theme, m.rack.SetTheme(msg.Theme), m.book.SetTheme(msg.Theme)
		switch m.at {
		case onBench:
			m.bench = m.bench.SetTheme(msg.Theme)
		case onFrame:
			m.frame = m.frame.SetTheme(msg.Theme)
		case onNumbers:
			m.bench, m.numbers = m.bench.SetTheme(msg.Theme), m.numbers.SetTheme(msg.Theme)
		}
		return m, nil
	case tea.KeyMsg:
		if msg.Type == tea.KeyCtrlC {
			return m, tea.Quit
		}
	case itemsMsg:
		m.rack = m.rack.SetItems(msg.items)
		if msg.err != nil {
			m.rack = m.rack.SetNotice(msg.err.Error())
		}
		return m, nil
	case rack.ChosenMsg:
		h := m.house
		m.from = onRack
		return m, opening(func() (bench.Job, error) { return h.Open(int(msg)) })
	case rack.ParkMsg:
		h := m.house
		return m, func() tea.Msg {
			if err := h.Park(msg.UID, msg.Parked); err != nil {
				return itemsMsg{err: err}
			}
			items, err := h.Items()
			return itemsMsg{items, err}
		}
	case rack.BookMsg:
		m.at = onBook
		return m, m.book.Init()
	case ledger.JobMsg:
		h := m.house
		m.from = onBook
		return m, opening(func() (bench.Job, error) { return h.OpenJob(msg.UID) })
	case ledger.LeaveMsg:
		m.at = onRack
		return m, m.list()
	case rack.LeaveMsg:
		return m, tea.Quit
	case rack.FrameMsg:
		set := frame.Settings{Theme: m.opts.Bench.Theme, ASCII: m.opts.Bench.ASCII, Turn: m.opts.Bench.Turn}
		m.frame, m.at = frame.New(set).SetSize(m.width, m.height), onFrame
		return m, m.frame.Init()
	case frame.SavedMsg:
		h := m.house
		return m, func() tea.Msg {
			path, err := h.SaveFrame(msg.Name, msg.Text)
			return keptMsg{path, err}
		}
	case keptMsg:
		if msg.err != nil {
			m.frame = m.frame.SetNotice(msg.err.Error())
			return m, nil
		}
		m.rack = m.rack.SetSaid("kept as " + msg.path)
		return m.fromFrame()
	case frame.CancelMsg:
		return m.fromFrame()
	case openedMsg:
		return m.opened(msg)
	case bench.NumbersMsg:
		return m, func() tea.Msg { return sheetMsg{msg.Work()} }
	case sheetMsg:
		m.numbers, m.at = bed.New(msg.sheet, m.opts.Bench.Theme, m.opts.Bench.ASCII).SetSize(m.width, m.height), onNumbers
		return m, nil
	case bed.LeaveMsg:
		m.at = onBench
		return m, nil
	case bench.LeaveMsg:
		if m.opts.Straight != nil {
			return m, tea.Quit
		}
		m.rack = m.rack.SetSaid(msg.Notice)
		if m.at = m.from; m.at == onBook {
			return m, m.book.Init()
		}
		return m, m.list()
	}
	var cmd tea.Cmd
	switch m.at {
	case onBench:
		m.bench, cmd = m.bench.Update(msg)
	case onFrame:
		m.frame, cmd = m.frame.Update(msg)
	case onNumbers:
		m.numbers, cmd = m.numbers.Update(msg)
	case onBook:
		m.book, cmd = m.book.Update(msg)
	default:
		m.rack, cmd = m.rack.Update(msg)
	}
	return m, cmd
}

// fromFrame leaves the form: to the rack, or out of a program that was only the form.
func (m Model) fromFrame() (tea.Model, tea.Cmd) {
	if m.opts.Frame != nil {
		return m, tea.Quit
	}
	m.at = onRack
	return m, m.list()
}

func opening(open func() (bench.Job, error)) tea.Cmd {
	return func() tea.Msg {
		job, err := open()
		return openedMsg{job, err}
	}
}

func (m Model) opened(msg openedMsg) (tea.Model, tea.Cmd) {
	b, err := bench.Model{}, msg.err
	if err == nil {
		b, err = bench.New(msg.job, m.opts.Bench)
	}
	if err != nil {
		m.rack, m.at = m.rack.SetNotice(err.Error()), onRack
		return m, m.list()
	}
	m.bench, m.at = b.SetSize(m.width, m.height), onBench
	return m, m.bench.Init()
}

// View is the screen that is up.
func (m Model) View() string {
	switch m.at {
	case onBench:
		return m.bench.View()
	case onFrame:
		return m.frame.View()
	case onNumbers:
		return m.numbers.View()
	case onBook:
		return m.book.View()
	}
	return m.rack.View()
}
