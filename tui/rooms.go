package tui

import (
	"cmp"
	"context"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/records"
	"pullcard/sequence/report"
	"pullcard/sequence/shop"
	"pullcard/tui/bench"
	"pullcard/tui/browse"
	"pullcard/tui/chart"
	"pullcard/tui/frame"
	"pullcard/tui/lot"
	"pullcard/tui/rack"
	"pullcard/tui/screen"
	"pullcard/tui/sheet"
	"pullcard/tui/theme"
	"pullcard/tui/told"
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
	// Print prints what goes with the rackets of jobs, by the UIDs of their records.
	Print(ctx context.Context, uids ...string) error
	// EnterStrung enters a job that waits as strung at some time: elsewhere, or on paper.
	EnterStrung(ctx context.Context, uid, why string, at time.Time) error
	// NextOfLot is the job of the next racket that waits in a job's lot, by the UIDs of their records.
	NextOfLot(ctx context.Context, uid string) (string, error)
	// Undecided says what the verdicts on the lot of a job that waits suggest, and of which lot, until somebody decided; else both are empty.
	Undecided(ctx context.Context, uid string) (lot, says string, err error)
	// TellDay, TellDue and TellStock tell a day, which rackets are due by a day, and what is left of the strings.
	TellDay(ctx context.Context, at time.Time) ([]report.Section, error)
	TellDue(ctx context.Context, until time.Time) ([]report.Section, error)
	TellStock(ctx context.Context) ([]report.Section, error)
	// Lot makes a lot of the book ready for its screen, by the UID of its record.
	Lot(uid string) (shop.LotSheet, lot.Book, error)
	// Trial is the technique sheet of a record, to be edited: the sheet itself, or the one that a job names.
	Trial(ctx context.Context, uid string) (shop.Trial, error)
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
	return screen.Of(rack.New(r, set.Theme, set.Now,
		rack.Door{Key: "b", Help: "the book", Short: "book", Stays: true, Open: r.book},
		rack.Door{Key: "a", Help: "a new job", From: 140, Open: r.job},
		rack.Door{Key: "d", Help: "the day", From: 140, Open: r.day},
		rack.Door{Key: "u", Help: "due anew", From: 140, Open: r.due},
		rack.Door{Key: "s", Help: "the stock", From: 140, Open: r.stock},
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
	job.After = r.after(job)
	return Bench(job, r.set)
}

// after are the keys of the last screen.
func (r rooms) after(job bench.Job) []bench.After {
	if job.UID == nil {
		return nil
	}
	bind := func(k, what string) key.Binding { return key.NewBinding(key.WithKeys(k), key.WithHelp(k, what)) }
	form := func(kind records.Name, of string) tea.Cmd {
		return screen.Open(func() (screen.Screen, error) {
			m, uid := browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now), job.UID()
			return screen.Of(m.Add(kind, records.Fields{of: uid}, map[string]string{uid: shop.Title(job.Player, job.Racket, job.Plan.Frame)})), nil
		})
	}
	var reading records.Reading
	var said records.Verdict
	out := []bench.After{
		{Key: bind("g", "reading"), Do: form(records.KindReading, records.Key(&reading, &reading.Job))},
		{Key: bind("u", "the player's word"), Do: form(records.KindVerdict, records.Key(&said, &said.Job))},
		{Key: bind("h", "hand over"), Do: screen.Open(func() (screen.Screen, error) {
			p, err := r.Page(context.Background(), job.UID())
			return screen.Of(browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now).HandOver(p)), err
		})},
		{Key: bind("l", "ticket"), Do: func() tea.Msg {
			if err := r.Print(context.Background(), job.UID()); err != nil {
				return screen.Wrong(err.Error())
			}
			return screen.Said("printed")
		}},
	}
	if job.Lot {
		out = append(out, bench.After{Key: bind("x", "next of the lot"), Do: screen.Instead(func() (screen.Screen, error) {
			uid, err := r.NextOfLot(context.Background(), job.UID())
			if err != nil {
				return nil, err
			}
			return r.Bench(uid)
		})})
	}
	return out
}

// told is the screen of what the shop tells.
func (r rooms) told(s told.Sheet) (screen.Screen, error) {
	return screen.Of(told.New(s, r.set.Theme, r.set.ASCII)), nil
}

func (r rooms) day() (screen.Screen, error) {
	return r.told(told.Sheet{Title: "THE DAY", Turns: "day", Text: "What was strung and handed over on a day, and what it came to.",
		Tell: func(ctx context.Context, by int) ([]report.Section, error) {
			return r.TellDay(ctx, r.set.Now().AddDate(0, 0, by))
		}})
}

func (r rooms) due() (screen.Screen, error) {
	return r.told(told.Sheet{Title: "DUE ANEW", Turns: "week", Text: "Which rackets should be strung anew by now, or some weeks later: common practice, and no promise.",
		Tell: func(ctx context.Context, by int) ([]report.Section, error) {
			return r.TellDue(ctx, r.set.Now().AddDate(0, 0, 7*by))
		}})
}

func (r rooms) stock() (screen.Screen, error) {
	return r.told(told.Sheet{Title: "THE STOCK", Text: "What is left of each string, how long it lasts at the pace of the last weeks, and what to order.",
		Tell: func(ctx context.Context, _ int) ([]report.Section, error) { return r.TellStock(ctx) }})
}

// job opens the form of a new job.
func (r rooms) job() (screen.Screen, error) {
	return screen.Of(browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now).Add(records.KindJob, nil, nil)), nil
}

// Open puts an item of the rack on the bench.
func (r rooms) Open(key string, over bool) (screen.Screen, error) {
	return r.decided(key, func() (bench.Job, error) { return r.Shop.Open(key, over) })
}

// Bench puts a job of the book on the bench.
func (r rooms) Bench(uid string) (screen.Screen, error) {
	return r.decided(uid, func() (bench.Job, error) { return r.OpenJob(uid) })
}

// decided puts a job on the bench, unless a verdict on its lot waits to be decided: then its lot's screen opens.
func (r rooms) decided(uid string, open func() (bench.Job, error)) (screen.Screen, error) {
	lot, says, err := r.Undecided(context.Background(), uid)
	if err != nil {
		return nil, err
	}
	if lot != "" {
		return r.lot(lot, screen.Notice{Text: says, Role: theme.Warn})
	}
	return r.bench(open())
}

// Verdicts opens the screen of a lot.
func (r rooms) Verdicts(uid string) (screen.Screen, error) { return r.lot(uid, screen.Notice{}) }

func (r rooms) lot(uid string, say screen.Notice) (screen.Screen, error) {
	lots, book, err := r.Lot(uid)
	if err != nil {
		return nil, err
	}
	m := lot.New(lots, book, r.set.Theme, r.set.ASCII)
	m.Notice = say
	return screen.Of(m), nil
}

// Sheet opens the screen of a technique sheet, or of the one that a job names.
func (r rooms) Sheet(uid string) (screen.Screen, error) {
	t, err := r.Trial(context.Background(), uid)
	if err != nil {
		return nil, err
	}
	return screen.Of(sheet.New(t, r.set.Theme, r.set.ASCII, r.set.Turn)), nil
}

func (r rooms) book() (screen.Screen, error) {
	return screen.Of(browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now)), nil
}

// Look opens the jobs of the book that letters find.
func (r rooms) Look(letters string) (screen.Screen, error) {
	return screen.Of(browse.New(r, r.set.Theme, r.set.ASCII, r.set.Now).Sought(records.KindJob, letters)), nil
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
