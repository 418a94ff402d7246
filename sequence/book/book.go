// Package book is the record book: one file that keeps every job, the plan that it follows and each event of its
// work. Events are only appended, and each is on the disk before Append returns.
//
// Start with Open. NewJob begins a job, Append records an event, Jobs and Job read, Export writes everything out.
// Several programs may have the book open at once.
//
// Several books may share what is in them, by files (ExportAll, Import) or row by row of their logs (Seal, Vector, Rows, Take):
// log.go says how, Disputes and Unfit what a person has to look at afterwards.
package book

import (
	"context"
	"database/sql"
	"database/sql/driver"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	_ "modernc.org/sqlite" // the driver
)

// Book is an open record book. Its methods may be called from several goroutines; they take turns.
type Book struct {
	path     string // as it was opened
	at       *doors // where it is
	called   string // what messages call it, empty for where it is
	alone    *sole  // the sign that nobody else may open it, nil where others may
	db       *sql.DB
	made     bool
	knows    int         // the newest version of a book that this program knows
	wrote    atomic.Bool // something
	tried    atomic.Bool // whatever waited when it was opened was tried again
	appender appender
	plans    plansRead

	turn    sync.Mutex // of who writes
	trace   *trace
	folder  string
	now     func() time.Time
	rescued *Rescue
	stir    chan struct{} // tells who waits for a change
	lines   lines         // jobs as they are after the last Take, for the next one
}

// Open opens the book in a file and makes it, for its owner's eyes only, when there is none, which Made tells; a missing
// folder is made likewise. A book of an older program is brought up to date. Refused are a file that is something else, one
// of no length or of one byte, one with several names, a book of a newer program and one whose schema is not this program's; what they
// hold is not changed.
//
// Where other machines may write as well, as on a network disk, the error is a *SharedError; OpenAlone opens it there.
func Open(ctx context.Context, path string) (*Book, error) {
	return way{medium: medium}.open(ctx, path)
}

// OpenExisting opens a book that is there. The error says so when there is none.
func OpenExisting(ctx context.Context, path string) (*Book, error) {
	return way{medium: medium}.openExisting(ctx, path)
}

// OpenAlone is Open for a book on a disk that other machines may write to: nobody else can open it meanwhile, here or there, and it has
// no write-ahead log.
func OpenAlone(ctx context.Context, path string) (*Book, error) {
	return way{alone: true}.open(ctx, path)
}

// OpenExistingAlone is OpenAlone for a book that is there.
func OpenExistingAlone(ctx context.Context, path string) (*Book, error) {
	return way{alone: true}.openExisting(ctx, path)
}

// way is how a book is opened.
type way struct {
	alone  bool
	medium func(path string) string // the kind of a disk
}

func (w way) open(ctx context.Context, path string) (*Book, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("find the book: %w", err)
	}
	if err := w.fits(abs); err != nil {
		return nil, err
	}
	made, err := create(abs, w.alone)
	if err != nil {
		return nil, fmt.Errorf("make the book: %w; name another file or see that you may write there", err)
	}
	b, err := openHere(ctx, abs, w.alone)
	if err == nil {
		b.made = made
	}
	return b, err
}

func (w way) openExisting(ctx context.Context, path string) (*Book, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("find the book: %w", err)
	}
	if err := mustExist(abs); err != nil {
		return nil, fmt.Errorf("book %s: open: %w", path, err)
	}
	if err := w.fits(abs); err != nil {
		return nil, err
	}
	return openHere(ctx, abs, w.alone)
}

// fits says why a disk is none for this way.
func (w way) fits(path string) error {
	if w.alone {
		return nil
	}
	return shared(path, w.medium)
}

func openHere(ctx context.Context, path string, only bool) (*Book, error) {
	before, err := waitSingleLink(ctx, path)
	if err != nil {
		return nil, problem("book "+path, "open", err)
	}
	sign, err := takeSole(path, only)
	if err != nil {
		return nil, problem("book "+path, "open", err)
	}
	b := &Book{path: path, stir: make(chan struct{}, 1), alone: sign}
	b.at = &doors{path: path, opened: b.lines.drop, alone: only}
	b.db = sql.OpenDB(b.at)
	b.db.SetMaxOpenConns(1) // a second one would only wait for the first
	if err = b.ready(ctx); err == nil {
		b.trace, err = follow(path, before, sign)
	}
	if err != nil {
		return nil, errors.Join(b.problem("open", err), b.db.Close(), sign.leave())
	}
	return b, nil
}

// Made says whether there was no book and this one was made.
func (b *Book) Made() bool { return b.made }

// Path is where the book was opened.
func (b *Book) Path() string { return b.path }

// mustExist says when there is no file.
func mustExist(path string) error {
	_, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such book; name the one that you mean with --book FILE")
	}
	if err != nil {
		return err
	}
	return mustBeRegular(path)
}

// mustBeRegular says when there is something else than a file: to open a pipe could wait for ever, and a device could do anything.
func mustBeRegular(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil || info.Mode().IsRegular() || info.IsDir(): // SQLite says what is wrong with a folder
		return nil
	case info.Mode()&fs.ModeNamedPipe != 0:
		return errors.New("it is a pipe and no file")
	}
	return errors.New("it is a device and no file")
}

// Close closes the book. Everything is saved already; what was written since it was opened is chained, so that Check finds what the disk
// changes of it. That is left for the next time where the book cannot be written, was written over by something else, or much waits.
func (b *Book) Close() error {
	if b.wrote.Load() {
		b.chain()
		b.idle()
	}
	if err := errors.Join(b.db.Close(), b.alone.leave()); err != nil {
		return b.problem("close", err)
	}
	return nil
}

// chain chains what was written. The journal hides what somebody did to the book's own file, so that is looked at where it changed.
func (b *Book) chain() {
	ctx, cancel := context.WithTimeout(context.Background(), farewell)
	defer cancel()
	if b.trace != nil && !b.trace.untouched() && b.compare(ctx) != "" {
		return
	}
	var err error
	for more := true; more && err == nil; {
		err = b.transact(ctx, func(tx *sql.Tx) (err error) {
			more, err = seal(ctx, tx)
			return err
		})
	}
}

// idle waits until what was given up half way has let go of the file: its connection is closed behind the back of who gave up, and the
// file beside the book would stay if the program ended before.
func (b *Book) idle() {
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if c, err := b.db.Conn(ctx); err == nil {
		c.Close()
	}
}

// farewell is how long a book takes at most to be closed.
const farewell = 300 * time.Millisecond

// create makes a book where there is none. It gets its name when it is whole: no one ever sees half of it.
func create(path string, alone bool) (made bool, err error) {
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		return false, errors.Join(err, mustBeRegular(path))
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return false, err
	}
	if err := leftovers(path); err != nil {
		return false, err
	}
	err = place(path, func(temporary string) error { return initialise(temporary, alone) })
	if err != nil && vacant(path) != nil {
		return false, nil // another program was faster
	}
	return err == nil, err
}

// newBook is the file of a book that nothing was written to, as the scripts make it, which would take as long as half of all else until
// the first frame. TestOwnSums holds it against them, and -update writes it.
//
//go:embed new.db
var newBook string

// noEpoch stands in newBook where each book has an epoch of its own.
const noEpoch = "epoch of a book."

// initialise makes a book in an empty file.
func initialise(path string, alone bool) error {
	is := []byte(strings.ReplaceAll(newBook, noEpoch, salt()))
	if alone {
		is[18], is[19] = 1, 1 // without a write-ahead log (SQLite, Database File Format, 1.3.3)
	}
	return os.WriteFile(path, is, 0o600)
}

// dsn names the file and how each connection to it is set up. With synchronous=FULL a commit is on the disk when it
// returns; the cache is a mebibyte, which holds the pages of a job many times over. What a file has in its schema or its
// pages is not trusted: it calls nothing, nothing writes to its schema but a script, and its cells are looked at.
func dsn(path string, more ...string) string {
	q := url.Values{
		"mode":    {"rw"},
		"_txlock": {"immediate"}, // a transaction that is to write never finds out too late that another writes
		"_pragma": append(more[:len(more):len(more)], "busy_timeout(5000)", "synchronous(FULL)", "foreign_keys(1)", "cache_size(-1024)",
			"trusted_schema(0)", "cell_size_check(1)"),
		"_defensive": {"1"},
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

// write does several changes as one: all are kept or none. When it returns nil they are where a book is found again.
func (b *Book) write(ctx context.Context, change func(*sql.Tx) error) error {
	return b.writeBeside(ctx, func(tx *sql.Tx) error {
		b.lines.drop()
		return change(tx)
	})
}

// writeBeside is write for what changes nothing of jobs that were begun, or sees to b.lines itself.
func (b *Book) writeBeside(ctx context.Context, change func(*sql.Tx) error) error {
	b.turn.Lock()
	defer b.turn.Unlock()
	if err := b.watch(ctx, false); err != nil {
		return err
	}
	err := b.transact(ctx, change)
	if err != nil && damaged(err) && b.trace != nil && b.folder != "" {
		if err := b.rescue(ctx, fmt.Sprintf("it cannot be read any more (%v)", err)); err != nil {
			return err
		}
		err = b.transact(ctx, change)
	}
	if err != nil {
		b.lines.drop()
		return err
	}
	b.wrote.Store(true)
	select {
	case b.stir <- struct{}{}:
	default: // somebody is about to look anyway
	}
	return b.watch(ctx, true)
}

func (b *Book) transact(ctx context.Context, change func(*sql.Tx) error) error {
	tx, err := b.begin(ctx)
	if err != nil {
		return err
	}
	if err := change(tx); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return end(tx)
}

// begin begins to write. Where a newer program has brought the book up to date since it was opened, this one would leave out and seal
// away what it does not know.
func (b *Book) begin(ctx context.Context) (*sql.Tx, error) {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	var version int
	err = tx.QueryRowContext(ctx, "SELECT user_version FROM pragma_user_version").Scan(&version)
	if err == nil && version > b.knows {
		err = tooNew(version, b.knows)
	}
	if err != nil {
		return nil, errors.Join(err, tx.Rollback())
	}
	return tx, nil
}

// look asks several questions of one moment. A sql.Tx would start a goroutine for itself and one for each question; beside other programs that
// takes longer than a question.
func (b *Book) look(ctx context.Context, with func(querier) error) (err error) {
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return err
	}
	defer func() {
		// What ended is ended also when nobody waits for it any more; a connection on which it cannot be is given up.
		if _, wrong := conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK"); wrong != nil {
			err = errors.Join(err, wrong, conn.Raw(func(any) error { return driver.ErrBadConn }))
		}
	}()
	return with(conn)
}

// read does several reads of one moment, as many as a book has.
func (b *Book) read(ctx context.Context, look func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	return errors.Join(look(tx), tx.Rollback())
}
