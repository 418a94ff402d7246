package tui

import (
	"cmp"
	"context"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/bench"
	"pullcard/tui/browse"
	"pullcard/tui/chart"
	"pullcard/tui/frame"
	"pullcard/tui/lot"
	"pullcard/tui/rack"
	"pullcard/tui/screen"
)

// Shop is what the screens need of the shop: its jobs, and a bench's job opened for one of them.
type Shop interface {
	// Items lists the rackets that wait, those in progress first.
	Items() ([]rack.Item, error)
	// Open makes the item with a key ready for the bench; over takes it over from the bench that has it.
	Open(key string, over bool) (bench.Job, error)
	// SaveFrame keeps a layout that was typed and says where; a file that is there already is not overwritten unless
	// it is the one that was edited.
	SaveFrame(name string, text []byte) (path string, err error)
	// OpenJob makes a job of the book ready for the bench, by the UID of its record.
	OpenJob(uid string) (bench.Job, error)
	// Park sets the racket of a job in work aside, or takes it up again.
	Park(ctx context.Context, uid string, parked bool) error
	browse.Records
	// Lot makes a lot of the book ready for its screen, by the UID of its record.
	Lot(uid string) (shop.LotSheet, lot.Book, error)
	// Charts are the readings, all of them first.
	Charts() ([]chart.Series, error)
}

// rooms are the screens of a shop, each made when it is asked for.
type rooms struct {
	Shop
	set bench.Settings
}

// Rack is the screen on which the program starts. A further screen that it leads to is one line here.
func Rack(s Shop, set bench.Settings) screen.Screen {
	r := rooms{s, set}
	return screen.Of(rack.New(r, set.Theme,
		rack.Door{Key: "b", Help: "the book", Short: "book", Stays: true, Open: r.book},
		rack.Door{Key: "c", Help: "charts", From: 70, Open: r.charts},
		rack.Door{Key: "f", Help: "new frame", Short: "frame", Open: r.frame},
	))
}

// Bench is the screen of a job on the bench. The error says which of its events does not fit its plan.
func Bench(job bench.Job, set bench.Settings) (screen.Screen, error) {
	m, err := bench.New(job, set)
	return screen.Of(m), err
}

func (r rooms) bench(job bench.Job, err error) (screen.Screen, error) {
	if err != nil {
		return nil, err
	}
	return Bench(job, r.set)
}

// Open puts an item of the rack on the bench.
func (r rooms) Open(key string, over bool) (screen.Screen, error) {
	return r.bench(r.Shop.Open(key, over))
}

// Bench puts a job of the book on the bench.
func (r rooms) Bench(uid string) (screen.Screen, error) { return r.bench(r.OpenJob(uid)) }

// Verdicts opens the screen of a lot.
func (r rooms) Verdicts(uid string) (screen.Screen, error) {
	sheet, book, err := r.Lot(uid)
	if err != nil {
		return nil, err
	}
	return screen.Of(lot.New(sheet, book, r.set.Theme, r.set.ASCII)), nil
}

func (r rooms) book() (screen.Screen, error) {
	return screen.Of(browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now)), nil
}

func (r rooms) charts() (screen.Screen, error) {
	series, err := r.Charts()
	return screen.Of(chart.New(r, series, r.set.Theme, r.set.ASCII)), err
}

// Decide opens the form of a baseline with what is known of it.
func (r rooms) Decide(s chart.Series) (screen.Screen, error) {
	m := browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now)
	b := s.Baseline
	return screen.Of(m.Add(records.KindBaseline, records.Texts(b), map[string]string{cmp.Or(b.Machine, b.Stringer, b.Mains): s.Of})), nil
}

func (r rooms) frame() (screen.Screen, error) {
	return screen.Of(frame.New(frame.Settings{Theme: r.set.Theme, ASCII: r.set.ASCII, Turn: r.set.Turn, Save: r.SaveFrame})), nil
}
