// Package tui is the full-screen program: it shows the rack of waiting rackets and the bench, and leads from one to
// the other.
//
// Call New with a House, which knows the jobs and keeps the book, and run the Model with bubbletea.
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
	Park(ctx context.Context, uid string, parked bool) error
	browse.Book
	// Lot makes a lot of the book ready for its screen, by the UID of its record.
	Lot(uid string) (shop.LotSheet, lot.Book, error)
	// Charts are the readings, all of them first.
	Charts() ([]chart.Series, error)
}

// Options are how the program starts.
type Options struct {
	Bench bench.Settings
	// Straight is the job that is on the bench from the start; nil shows the rack first.
	Straight *bench.Job
	// Notice is what to say on the first screen, empty for nothing.
	Notice string
	// Frame is the form that is up from the start; the program ends with it.
	Frame *frame.Model
}

type screen uint8

const (
	onRack screen = iota
	onBench
	onFrame
	onNumbers
	onEar
	onBook
	onLot
	onChart
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
	ear           ear.Model
	book          browse.Model
	lot           lot.Model
	chart         chart.Model
	width, height int
	came          came
	burst         bool // keys were dropped, which the screen says until the next one
}

// ThemeMsg changes how the screens look, once the terminal has said what its background is.
type ThemeMsg struct{ Theme theme.Theme }

// New is the program on its first screen. The error says why a job cannot go on the bench.
func New(h House, o Options) (Model, error) {
	m := Model{house: h, opts: o, rack: rack.New(nil, o.Bench.Theme), book: browse.New(h, o.Bench.Theme, o.Bench.ASCII, o.Bench.Now)}
	if o.Frame != nil {
		m.frame, m.at = *o.Frame, onFrame
		return m, nil
	}
	if o.Straight == nil {
		if o.Notice != "" {
			m.rack = m.rack.SetSaid(o.Notice)
		}
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

// View is the screen that is up.
func (m Model) View() string {
	if m.opts.Bench.ASCII {
		return theme.ASCII(m.warned(m.view()))
	}
	return m.warned(m.view())
}

func (m Model) view() string {
	switch m.at {
	case onBench:
		return m.bench.View()
	case onFrame:
		return m.frame.View()
	case onEar:
		return m.ear.View()
	case onNumbers:
		return m.numbers.View()
	case onBook:
		return m.book.View()
	case onLot:
		return m.lot.View()
	case onChart:
		return m.chart.View()
	}
	return m.rack.View()
}
