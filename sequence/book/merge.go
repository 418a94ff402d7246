package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"pullcard/sequence/records"
)

// Merged says what an import did.
type Merged struct {
	Records   Tally      `json:"records"`
	Jobs      Tally      `json:"jobs"` // those that were begun
	Conflicts []Conflict `json:"conflicts"`
	// MaybeSame are players who are new here and have the name of one who was here before. A person decides; see Same.
	MaybeSame []Pair `json:"maybe_same"`
	// Forgotten are the players here whom the other book has forgotten. They stay until Forget is called.
	Forgotten []Record `json:"forgotten"`
}

// Tally counts what came in.
type Tally struct {
	Added int `json:"added"`
	Newer int `json:"newer"` // were older here and are as in the other book now
	Same  int `json:"same"`
	Older int `json:"older"` // are newer here and stay
}

// Conflict is what was changed in both books: of a record what was said last, which counts, and what was said besides; of a job
// the event at which two attempts part.
type Conflict struct {
	Kind   records.Name   `json:"kind"`
	UID    string         `json:"uid"`
	ID     int64          `json:"id"` // here
	What   string         `json:"what"`
	Ours   records.Fields `json:"ours"`
	Theirs records.Fields `json:"theirs"`
}

// Pair is a player of this book and one of another.
type Pair struct {
	Ours   Record `json:"ours"`
	Theirs Record `json:"theirs"` // as it is here now
}

// Import takes in another book, or what ExportAll wrote of one. What has the same UID is the same: all that was said of a record
// in either book counts, and of a field that was changed in both what was said last, until a person decides; everything done at
// a job in either is there, where both went on from one event as two attempts. Who was forgotten here stays so, and what
// comes in of them has no name. Taken in on both sides, two books are the same.
//
// The other file is not trusted: everything in it is checked, and the error names the line. All of it is tried on a copy
// of this book first, which takes no longer a lock than a backup does; when that fails nothing is changed here. Then it is
// taken in, some items at a time, so that a bench which works on the book meanwhile never waits for long. Should this be
// stopped, what came in stays and importing again goes on from there; importing a file again changes nothing.
//
// now is the clock's time. progress, which may be nil, is told how many items were tried, and then taken in.
func (b *Book) Import(ctx context.Context, path string, now time.Time, progress func(what string, done, total int)) (Merged, error) {
	if progress == nil {
		progress = func(string, int, int) {}
	}
	if err := notItself(path, b.at.now()); err != nil {
		return Merged{}, problem(path, "import", err)
	}
	total, err := b.rehearse(ctx, path, now, func(done int) { progress("tried", done, 0) })
	if err != nil {
		return Merged{}, err
	}
	b.wrote.Store(true) // be it in part
	m, _, err := b.takeIn(ctx, path, now, portion, func(done int) { progress("taken in", done, total) })
	if err != nil {
		return Merged{}, fmt.Errorf("%w; what came in until then stays, import again to go on", err)
	}
	return m.merged, nil
}

// portion is how many items are taken in with one transaction. A job with its events takes about a millisecond.
const portion = 50

// rest is the part of a transaction's time for which the book is left to others after it. SQLite has no queue: who waits
// for the lock looks now and then whether it is free.
const rest = 0.3

// rehearse takes everything in into a copy of the book and says how much that was.
func (b *Book) rehearse(ctx context.Context, path string, now time.Time, progress func(done int)) (total int, err error) {
	dir, err := os.MkdirTemp("", "pullcard-*")
	if err != nil {
		return 0, b.problem("import", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	trial := filepath.Join(dir, "book")
	if err := blankFile(trial); err != nil {
		return 0, b.problem("import", err)
	}
	if err := copyPages(ctx, b.at.now(), trial, nil); err != nil {
		return 0, b.problem("import", err)
	}
	t, err := Open(ctx, trial)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, t.Close()) }()
	if _, err := t.db.ExecContext(ctx, "PRAGMA synchronous = OFF"); err != nil { // it is thrown away
		return 0, b.problem("import", err)
	}
	t.called = b.at.now() // the copy is nobody's business
	_, total, err = t.takeIn(ctx, path, now, 0, progress)
	return total, err
}

// takeIn takes everything in, with so many items in one transaction, all with one for 0.
func (b *Book) takeIn(ctx context.Context, path string, now time.Time, many int, progress func(done int)) (m *merger, done int, err error) {
	tx, err := b.begin(ctx)
	if err != nil {
		return nil, 0, b.problem("import", err)
	}
	defer func() {
		if err != nil {
			err = b.problem("import", errors.Join(err, rolledBack(tx)))
		}
	}()
	b.lines.drop()
	if m, err = newMerger(ctx, tx, now); err == nil {
		err = m.ofFile()
	}
	if err != nil {
		return nil, 0, err
	}
	since := time.Now()
	err = itemReader{path, func(i item) error {
		if err := m.take(i); err != nil {
			return err
		}
		if done++; done%256 == 0 {
			progress(done)
		}
		if many == 0 || done%many != 0 {
			return nil
		}
		if err := m.commit(); err != nil {
			return err
		}
		select {
		case <-time.After(time.Duration(rest * float64(time.Since(since)))):
		case <-ctx.Done():
			return ctx.Err()
		}
		since = time.Now()
		var err error
		if tx, err = b.begin(ctx); err == nil {
			b.lines.drop()
			err = m.nextTx(tx)
		}
		return err
	}}.read(ctx)
	if err != nil {
		return m, done, problem(path, "import", err)
	}
	if err = m.dropUnusedPlans(); err == nil {
		err = m.commit()
	}
	if err == nil {
		err = b.watchWaiting(ctx)
	}
	progress(done)
	return m, done, err
}

// rolledBack ends a transaction; one that has ended already, or never began, is no error.
func rolledBack(tx *sql.Tx) error {
	if tx == nil {
		return nil
	}
	if err := tx.Rollback(); !errors.Is(err, sql.ErrTxDone) {
		return err
	}
	return nil
}

// notItself says when the file to be read is the book itself, or none. It does not open it: closing it again would take
// SQLite's locks away.
func notItself(path, book string) error {
	theirs, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such file")
	}
	if err != nil {
		return err
	}
	if theirs.IsDir() {
		return errors.New("that is a folder; name a file")
	}
	if ours, err := os.Stat(book); err == nil && os.SameFile(ours, theirs) {
		return errors.New("that is this book itself")
	}
	return nil
}

// merger takes in what comes from another book.
type merger struct {
	ctx     context.Context
	q       statements
	tx      *sql.Tx
	now     time.Time
	merged  Merged
	first   int64               // plans with a greater number came in
	plans   map[int64]knownPlan // by their numbers in the other file
	players map[string][]Record // by their folded names, as they were before
	hidden  map[string]bool     // whether a record is of somebody who was forgotten here, of those that were looked at
	blanked map[string]bool     // records of those who were forgotten only there
	file    bool                // it comes from a file, and this book numbers what is new of it
	open    map[string]*attempts
	known   map[int64]knownPlan // by their numbers here
}

func newMerger(ctx context.Context, tx *sql.Tx, now time.Time) (*merger, error) {
	m := &merger{ctx: ctx, now: now, plans: map[int64]knownPlan{}, players: map[string][]Record{},
		hidden: map[string]bool{}, blanked: map[string]bool{}, known: map[int64]knownPlan{}}
	m.merged = Merged{Conflicts: []Conflict{}, MaybeSame: []Pair{}, Forgotten: []Record{}}
	return m, m.nextTx(tx)
}

// ofFile makes ready for what comes from a file.
func (m *merger) ofFile() error {
	m.file = true
	if err := m.q.QueryRowContext(m.ctx, "SELECT coalesce(max(id), 0) FROM plans").Scan(&m.first); err != nil {
		return err
	}
	players, err := readRecords(m.ctx, m.q, selectRecords+" WHERE kind = 'player' AND state = 'kept'")
	for _, p := range players {
		name := records.Fold(p.Label())
		m.players[name] = append(m.players[name], p)
	}
	return err
}

// look finds out whether a record is of somebody who was forgotten here.
func (m *merger) look(uids ...string) (err error) {
	for _, uid := range uids {
		if _, known := m.hidden[uid]; !known && err == nil {
			m.hidden[uid], err = ofForgotten(m.ctx, m.q, uid)
		}
	}
	return err
}

// nextTx goes on in another transaction, in which nothing gets a number by itself.
func (m *merger) nextTx(tx *sql.Tx) error {
	m.tx, m.q, m.open = tx, statements{tx}, map[string]*attempts{}
	_, err := tx.ExecContext(m.ctx, "UPDATE self SET taking = 1")
	return err
}

// commit ends a transaction.
func (m *merger) commit() error {
	_, err := m.tx.ExecContext(m.ctx, "UPDATE self SET taking = 0")
	if err == nil {
		err = end(m.tx)
	}
	return err
}

func (m *merger) take(i item) error {
	switch {
	case i.Record != nil:
		return m.record(*i.Record)
	case i.Plan != nil:
		return m.plan(*i.Plan)
	}
	return m.job(*i.Job)
}

// dropUnusedPlans takes away the plans that came in for nothing.
func (m *merger) dropUnusedPlans() error {
	_, err := m.tx.ExecContext(m.ctx, `DELETE FROM plans WHERE id > ? AND NOT EXISTS (SELECT 1 FROM jobs WHERE jobs.plan = plans.id)
		AND id NOT IN (SELECT plan FROM events WHERE plan IS NOT NULL)`, m.first)
	return err
}

// validUID says what is wrong with a UID.
func validUID(uid string) error {
	ok := len(uid) >= 1 && len(uid) <= 200
	for _, c := range []byte(uid) {
		ok = ok && c > ' ' && c <= '~'
	}
	if !ok {
		return fmt.Errorf("the uid %.50q is none; it has 1 to 200 letters, digits and signs", uid)
	}
	return nil
}

// validTime says what is wrong with a time.
func validTime(at time.Time) error {
	if y := at.UTC().Year(); y < 1970 || y > 9998 {
		return fmt.Errorf("the time %s is none of a clock", at.Format(time.RFC3339))
	}
	return nil
}

// statements are a transaction in which much is written without looking at what came of it.
type statements struct{ *sql.Tx }

// together is how many rows are inserted with one statement at most: each costs a third of what it would by itself.
const together = 64

// insert inserts rows; into names a table and its columns.
func (s statements) insert(ctx context.Context, into string, rows [][]any) error {
	for len(rows) > 0 {
		n := together
		for n > len(rows) {
			n /= 2
		}
		values := "(" + strings.Join(slices.Repeat([]string{"?"}, len(rows[0])), ", ") + ")"
		err := s.exec(ctx, "INSERT INTO "+into+" VALUES "+values+strings.Repeat(", "+values, n-1), slices.Concat(rows[:n]...)...)
		if err != nil {
			return err
		}
		rows = rows[n:]
	}
	return nil
}

func (s statements) exec(ctx context.Context, query string, args ...any) error {
	_, err := s.ExecContext(ctx, query, args...)
	return err
}
