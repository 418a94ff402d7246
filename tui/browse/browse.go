// Package browse is the screens of the record book: a list in which players, rackets, strings, machines and jobs are found
// by a few letters, the page of one record with what belongs to it, and the form that adds or corrects one.
//
// Call New with a Book, Start to open it on a kind or on one record, and Init to read what is shown.
package browse

import (
	"context"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Records are what is kept of the shop. The methods are called away from the screen, several at a time maybe, and may take
// their time.
type Records interface {
	// Find lists records of a kind that have all the letters in their names, the newest first and a few hundred at most.
	// of is the UID of an owner whose records alone are wanted, empty for everybody's.
	Find(ctx context.Context, kind records.Name, of, letters string) ([]shop.Item, error)
	// Lettered are the frames or technique sheets, built in or of the house, whose names have words that begin so; all without letters.
	Lettered(kind records.Name, letters string) []string
	// Page reads one record with all that belongs to it.
	Page(ctx context.Context, uid string) (shop.Page, error)
	// Keep adds a record, or corrects the one with the UID where that is not empty: then fields holds what changes, and an
	// empty text takes a field away. The error joins what is wrong, each as "key: what is wrong" or "key is missing".
	Keep(ctx context.Context, kind records.Name, uid string, fields records.Fields, why string) (book.Record, error)
	// RestOfLot says which rackets FillLot puts into a lot, by the UID of its record, and how they will be strung; the error why there are none.
	RestOfLot(ctx context.Context, lot string) (string, error)
	FillLot(ctx context.Context, lot string) ([]book.Record, error)
	// Blank says what fills the fields of a new record that are left blank, and from where, by their keys: as "24 kg, as last time".
	Blank(ctx context.Context, kind records.Name, fields records.Fields) (map[string]string, error)
	// References says what would lose its name if a record were removed, as "2 rackets, 5 jobs"; empty for nothing.
	References(ctx context.Context, uid string) (string, error)
	// Remove takes a record from every list; the book still has it. Where others hang on it, it takes somebody who is sure.
	Remove(ctx context.Context, uid string, sure bool) error
}

// Book is what the screens need of the record book.
type Book interface {
	Records
	// Bench puts a job on the bench, and Verdicts opens the screen on which a lot's verdicts set the rackets that wait, each
	// by the UID of its record.
	Bench(uid string) (screen.Screen, error)
	Verdicts(uid string) (screen.Screen, error)
	// Sheet opens the screen on which a technique sheet is edited, by the UID of its record or of a job that names it.
	Sheet(uid string) (screen.Screen, error)
	// Print prints what goes with the rackets of jobs, by the UIDs of their records: before one is strung what is to be done, then the ticket.
	Print(ctx context.Context, uids ...string) error
}

type part uint8

const (
	onList part = iota
	onPage
	onForm
	outside // another screen
)

// Model is the screens of the book.
type Model struct {
	screen.Look
	book  Book
	zone  *time.Location
	keys  KeyMap
	now   func() time.Time
	at    part
	list  list
	sheet sheet
	form  form
	want  want
	seq   int // numbers the questions to the book, so that late answers are known
}

// New is the book, open on the players. ascii draws with ASCII characters only; now is the clock, in the zone in which
// times are shown and read.
func New(b Book, t theme.Theme, ascii bool, now func() time.Time) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, book: b, now: now, zone: now().Location(), keys: newKeyMap(ascii)}
	return m.SetTheme(t).Start(records.KindPlayer, "")
}

// Start opens the book on the list of a kind, or on one record when uid is not empty. A kind that is not looked up by
// itself, as a gauge check, leaves the list as it is. Init reads what is shown then.
func (m Model) Start(kind records.Name, uid string) Model {
	m.at, m.want, m.Notice = onList, want{}, screen.Notice{}
	if kind != m.list.kind && slices.Contains(lookedUp(), kind) {
		m.list = list{kind: kind}
	}
	m.list.seq, m.list.waits = m.next(), true
	if uid != "" {
		m, _ = m.open(want{uid: uid})
	}
	return m
}

// Sought opens the book on the list of a kind, of which it shows what letters find.
func (m Model) Sought(kind records.Name, letters string) Model {
	m.list = list{kind: kind, letters: letters, found: true}
	return m.Start(kind, "")
}

// Add opens the form of a new record for another screen, to which it goes back: some fields are filled in, and names has what
// the records are called to which they refer, by UID.
func (m Model) Add(n records.Name, fields records.Fields, names map[string]string) Model {
	f := newForm(n, m.Theme)
	f.title, f.from = "NEW "+strings.ToUpper(singular(f.kind)), outside
	for i := range f.rows {
		r := &f.rows[i]
		r.text = m.value(r.field, fields[r.field.Key], names)
		if r.refers() {
			r.uid = fields[r.field.Key]
			if r.text = m.Plain(names[r.uid]); r.uid == "" {
				r.text = ""
			}
		}
	}
	f = f.unfilled()
	m, _ = m.show(f)
	return m
}

// Init reads what is on the screen, anew when it was there already.
func (m Model) Init() tea.Cmd {
	switch {
	case m.want.uid != "":
		return m.read(m.want.seq, m.want.uid)
	case m.at == onPage:
		return m.read(m.sheet.seq, m.sheet.page.UID)
	case m.at == onList:
		return m.find()
	case m.at == onForm && m.form.blankSeq != 0:
		return m.readBlank()
	}
	return nil
}

// SetSize fits the screens into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	m.sheet.lines = m.pageLines()
	m.sheet.place = m.settle(m.sheet.place)
	m.form = m.form.load(m.inputWidth())
	return m
}

// SetTheme changes how the screens look.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	m.form = m.form.dress(t)
	return m
}
