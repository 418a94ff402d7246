package book

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"modernc.org/sqlite"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// LostError reports that the open book went away under this program, and that not all of it could be saved. What was being
// written was not; Salvage saves the job at hand.
type LostError struct {
	Book string
	Why  string // what became of it
	Err  error  // why it could not be saved
}

// Error says what happened.
func (e *LostError) Error() string {
	return fmt.Sprintf("the book %s is lost: %s, and it could not be saved elsewhere: %v", e.Book, e.Why, e.Err)
}

// Unwrap is why it could not be saved.
func (e *LostError) Unwrap() error { return e.Err }

// Rescue says where the work went when the book went away under this program.
type Rescue struct {
	Book string // where it was
	Why  string // what became of it
	File string // where everything is now and goes on; Import takes it back
	// JobOnly says that nothing but the job at hand could be saved.
	JobOnly bool
}

// String says it in a sentence, with what to do.
func (r Rescue) String() string {
	what := "all of it"
	if r.JobOnly {
		what = "only the job at hand"
	}
	return fmt.Sprintf("NOT IN THE BOOK but in %s: %s, %s is kept there from now on; pullcard book import takes that file back",
		r.File, r.Why, what)
}

// RescueTo names the folder for a rescue file, and the clock. Without it a book that goes away under the program is lost
// with a *LostError. It is called before anything is written.
func (b *Book) RescueTo(folder string, now func() time.Time) { b.folder, b.now = folder, now }

// Rescued says where the work went, nil while the book is where it was.
func (b *Book) Rescued() *Rescue {
	b.turn.Lock()
	defer b.turn.Unlock()
	return b.rescued
}

// doors are where connections to the book lead. After a rescue they lead to its file.
type doors struct {
	mu     sync.Mutex
	path   string
	opened func() // is called with each new one
	alone  bool   // nobody else reads or writes it: the lock is kept, and no memory is shared
}

func (d *doors) now() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.path
}

func (d *doors) lead(path string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.path = path
}

// Connect implements driver.Connector.
func (d *doors) Connect(ctx context.Context) (driver.Conn, error) {
	c, err := sqlite.NewConnector(dsn(d.now(), d.pragmas()...))
	if err != nil {
		return nil, err
	}
	made, err := c.Connect(ctx)
	if err != nil {
		return nil, err
	}
	d.opened()
	return &compiling{made.(conn), map[string]*compiled{}}, nil
}

// pragmas are what a connection is told before all else.
func (d *doors) pragmas() []string {
	if d.alone {
		return []string{"locking_mode(EXCLUSIVE)"}
	}
	return nil
}

// Driver implements driver.Connector.
func (d *doors) Driver() driver.Driver { return &sqlite.Driver{} }

// watch sees that the book is where it was, and saves all of it elsewhere where it is not. wrote says that the last look was
// just before a write. The caller has the turn.
func (b *Book) watch(ctx context.Context, wrote bool) error {
	if b.trace == nil {
		return nil // it is being opened
	}
	why, suspicious := b.trace.look(wrote)
	if why == "" && suspicious {
		why = b.compare(ctx)
	}
	if why == "" {
		return nil
	}
	return b.rescue(ctx, why)
}

// watchWaiting is watch for a caller who has not got the turn.
func (b *Book) watchWaiting(ctx context.Context) error {
	b.turn.Lock()
	defer b.turn.Unlock()
	return b.watch(ctx, false)
}

// compare looks at the book as somebody would who opens it now, and says what is not in it that is in it for this program.
func (b *Book) compare(ctx context.Context) (why string) {
	if b.alone != nil {
		return "" // nobody can open it
	}
	const counts = `SELECT (SELECT count(*) FROM events), (SELECT count(*) FROM jobs), (SELECT count(*) FROM records),
		(SELECT epoch FROM self JOIN sources ON sources.id = self.source)`
	count := func(q querier) (n [3]int, epoch string, err error) {
		err = q.QueryRowContext(ctx, counts).Scan(&n[0], &n[1], &n[2], &epoch)
		return n, epoch, err
	}
	here, own, err := count(b.db)
	if ctx.Err() != nil {
		return "" // who leaves finds out the next time
	}
	if err != nil {
		return fmt.Sprintf("it was changed by something else (%v)", err)
	}
	db, _, err := openReadOnly(ctx, b.at.now())
	if err != nil {
		return fmt.Sprintf("it was changed by something else (%v)", err)
	}
	defer db.Close()
	wrong, err := integrityCheck(ctx, db)
	if ctx.Err() != nil {
		return ""
	}
	if err != nil || len(wrong) > 0 {
		return "it was cut off or written over by something else"
	}
	there, other, err := count(db)
	if err != nil {
		return fmt.Sprintf("it was changed by something else (%v)", err)
	}
	if other != own || there[0] < here[0] || there[1] < here[1] || there[2] < here[2] {
		return "it was written over by something else"
	}
	return ""
}

// rescue copies everything that the open book has into a file of the folder and goes on there.
func (b *Book) rescue(ctx context.Context, why string) error {
	lost := &LostError{Book: b.at.now(), Why: why}
	if b.folder == "" {
		lost.Err = errors.New("no folder was named for that")
		return lost
	}
	file, err := b.rescueFile(func(temporary string) error {
		if err := b.copyOpen(ctx, temporary, nil); err != nil {
			return err
		}
		return checkWhole(ctx, temporary)
	})
	if err == nil {
		err = b.goOn(ctx, file)
	}
	if err != nil {
		lost.Err = err
		return lost
	}
	b.rescued = &Rescue{Book: b.path, Why: why, File: file}
	return nil
}

// rescueFile makes a file in the folder.
func (b *Book) rescueFile(write func(temporary string) error) (string, error) {
	if err := os.MkdirAll(b.folder, 0o700); err != nil {
		return "", err
	}
	file := free(filepath.Join(b.folder, fmt.Sprintf("rescue-%s-%d.db", b.now().UTC().Format("20060102T150405Z"), os.Getpid())))
	return file, place(file, write)
}

// copyOpen copies what the open connection sees; no other one would find it.
func (b *Book) copyOpen(ctx context.Context, to string, progress func(done, total int)) (err error) {
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	if err := copySeen(ctx, conn, to, progress); err != nil {
		return err
	}
	return asSingleFile(ctx, to)
}

// goOn leads the connection to another file.
func (b *Book) goOn(ctx context.Context, file string) error {
	before, err := waitSingleLink(ctx, file)
	if err != nil {
		return err
	}
	b.at.lead(file)
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	// SQLite sees that the old file has another name by now, and leaves alone what lies at its place.
	_ = conn.Raw(func(any) error { return driver.ErrBadConn })
	if err := b.ready(ctx); err != nil {
		return err
	}
	if err := b.transact(ctx, func(tx *sql.Tx) error { return renew(ctx, tx) }); err != nil { // the book may turn up again
		return err
	}
	b.trace, err = follow(file, before, nil)
	return err
}

// Salvage goes on with one job after a *LostError, in a rescue file that has nothing else: the job's draft, whose UID it
// keeps, and its events. It returns the job's number there.
func (b *Book) Salvage(ctx context.Context, lost *LostError, d Draft, events []progress.Event) (id int64, err error) {
	b.turn.Lock()
	defer b.turn.Unlock()
	if b.folder == "" {
		return 0, lost
	}
	file, err := b.rescueFile(func(temporary string) error {
		err := initialise(temporary, false)
		if err == nil {
			id, err = salvage(ctx, temporary, d, events)
		}
		return err
	})
	if err == nil {
		err = b.goOn(ctx, file)
	}
	if err != nil {
		return 0, &LostError{Book: lost.Book, Why: lost.Why, Err: err}
	}
	b.rescued = &Rescue{Book: b.path, Why: lost.Why, File: file, JobOnly: true}
	b.appender.forgetTold() // its number is that of another job
	return id, nil
}

func salvage(ctx context.Context, file string, d Draft, events []progress.Event) (id int64, err error) {
	b, err := openHere(ctx, file, false)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	uid := d.UID
	d.UID, d.Job = "", records.Job{} // what they name is lost
	if id, err = b.NewJob(ctx, d); err != nil {
		return 0, err
	}
	if uid != "" {
		err = b.write(ctx, func(tx *sql.Tx) error {
			_, err := tx.ExecContext(ctx, `PRAGMA defer_foreign_keys = 1; UPDATE records SET uid = ?1 WHERE uid = (SELECT uid FROM jobs WHERE id = ?2);
				UPDATE changes SET uid = ?1 WHERE uid = (SELECT uid FROM jobs WHERE id = ?2); UPDATE jobs SET uid = ?1 WHERE id = ?2`, uid, id)
			return err
		})
	}
	for i, e := range slices.Clone(events) {
		if err == nil {
			err = b.Append(ctx, id, i, e)
		}
	}
	return id, err
}
