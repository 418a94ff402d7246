package book

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Each reading answers with what is there, and says so where the book is closed.
func TestReadingsAnswer(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	assert.True(t, b.Made())
	john := added(t, b, records.KindPlayer, records.Fields{"name": "Jo Ann (invented)"})
	ann, err := b.Add(ctx, records.KindPlayer, records.Fields{"name": "Ann (invented)"}, clock(-9))
	require.NoError(t, err)
	reel := added(t, b, records.KindStock, records.Fields{"name": "Invented 1.25", "form": "reel", "length": "200 m"})
	waiting := added(t, b, records.KindJob, records.Fields{"player": ann.UID, "text": "frame", "file": "w.toml"})
	id := newJob(t, b, 1)
	do(t, b, id, 0, event(progress.Done, 1))
	job, err := b.Job(ctx, id)
	require.NoError(t, err)
	for _, value := range []string{"611 Hz", "612 Hz"} {
		added(t, b, records.KindReading, records.Fields{"job": job.UID, "value": value})
	}
	version, err := b.Version(ctx)
	require.NoError(t, err)
	require.Positive(t, version)
	require.NoError(t, b.Join(ctx, "K"))
	epoch, _, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	require.NoError(t, b.Join(ctx, "K"), "as it is called")
	again, _, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	assert.Equal(t, epoch, again)

	wants := func(n int, f func() (any, error)) func() error {
		return func() error {
			got, err := f()
			if err == nil {
				assert.Len(t, got, n)
			}
			return err
		}
	}
	readings := map[string]func() error{
		"records":   wants(2, func() (any, error) { return b.Records(ctx, john.UID, ann.UID) }),
		"cards":     wants(1, func() (any, error) { return b.Cards(ctx, job.UID) }),
		"card":      func() error { _, err := b.Card(ctx, job.UID); return err },
		"a day":     wants(1, func() (any, error) { return b.OfDay(ctx, clock(1).Local().Format("2006-01-02")) }),
		"sources":   wants(1, func() (any, error) { return b.Sources(ctx, job.UID) }),
		"attempts":  wants(0, func() (any, error) { return b.Attempts(ctx) }),
		"timed":     wants(1, func() (any, error) { return b.TimedJobs(ctx, 9) }),
		"stock":     wants(1, func() (any, error) { return b.ShelvesOf(ctx, reel) }),
		"epochs":    wants(1, func() (any, error) { return b.OwnEpochs(ctx) }),
		"all found": wants(3, func() (any, error) { return b.Find(ctx, records.KindPlayer, "", 0) }),
		"one found": wants(1, func() (any, error) { return b.Find(ctx, records.KindPlayer, "", 1) }),
		"all read":  wants(2, func() (any, error) { return b.Series(ctx, records.Job{}, 0) }),
		"one read":  wants(1, func() (any, error) { return b.Series(ctx, records.Job{}, 1) }),
		"mentioned": wants(1, func() (any, error) { return b.Mentions(ctx, "Jo Ann (invented)") }),
		"emptied":   func() error { return b.RetellEmptied(ctx) },
		"told":      func() error { return b.ConfirmEmptied(ctx, []Place{{epoch, 1}}) },
		"known":     func() error { return b.ConfirmNonce(ctx) },
		"unsealed":  func() error { _, err := b.Unsealed(ctx); return err },
		"version":   func() error { _, err := b.Version(ctx); return err },
		"text":      func() error { _, _, err := b.Text(ctx, job.UID); return err },
		"corrected": wants(2, func() (any, error) {
			note := Change{At: clock(3), Fields: records.Fields{"notes": "invented"}}
			return b.CorrectAll(ctx, []string{john.UID, ann.UID}, []Change{note, note})
		}),
	}
	for what, read := range readings {
		assert.NoError(t, read(), what)
	}
	_, err = b.Card(ctx, "nobody")
	assert.ErrorContains(t, err, "no such job")
	_, err = b.CorrectAll(ctx, []string{"nobody"}, []Change{{At: clock(3)}})
	assert.Error(t, err)
	list, err := b.Find(ctx, records.KindPlayer, "ann", 0)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, ann.UID, list[0].UID, "whose name begins so comes before who is newer")
	file, text, err := b.Text(ctx, waiting.UID)
	require.NoError(t, err)
	assert.Equal(t, "w.toml frame", file+" "+string(text))
	k, _ := records.Find(records.KindJob)
	assert.Error(t, refers(ctx, b.db, k, records.Fields{"racket": "nothing"}), "the player before it is not named")

	require.NoError(t, b.Close())
	for what, read := range readings {
		assert.ErrorContains(t, read(), "book ", what)
	}
	assert.Error(t, refers(ctx, b.db, k, records.Fields{"player": ann.UID}))
	_, err = foreign(ctx, b.db, len(scripts()))
	assert.Error(t, err)
	again2 := open(t, b.path)
	assert.False(t, again2.Made())
	n, err := again2.Unsealed(ctx)
	require.NoError(t, err)
	assert.Zero(t, n, "what was written is chained when a book is closed")
}

// A check finds each thing by itself that is not as it should be.
func TestCheckFindsEach(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	ada := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1))
	require.NoError(t, b.Seal(ctx))
	for wrong, findings := range map[string]int{
		"UPDATE jobs SET state = 'abandoned'":               1,
		"UPDATE records SET waiting = 1 WHERE kind = 'job'": 1,
		"UPDATE jobs SET step = 3":                          1,
		"UPDATE jobs SET steps = 9":                         1,
		"UPDATE records SET at = '2031-05-05T00:00:00.000000000Z' WHERE id = 1 AND kind = 'player'": 1,
		"UPDATE records SET state = 'left' WHERE kind = 'player'":                                   1,
		"UPDATE jobs SET frame = 'x', last = 'x'":                                                   2,
		"UPDATE log SET hash = zeroblob(32) WHERE seq = 1":                                          1,
	} {
		require.Error(t, b.read(ctx, func(tx *sql.Tx) error {
			_, err := tx.Exec(wrong)
			require.NoError(t, err)
			c := checker{plans: map[int64]*plan.Plan{}, progress: func(int, int) {}}
			require.NoError(t, c.all(ctx, tx))
			assert.GreaterOrEqual(t, len(c.Findings), findings, wrong)
			return errors.New("take it back")
		}), wrong)
	}
	gone := Record{Kind: records.KindPlayer, State: Forgotten}
	assert.NoError(t, fits(ctx, b.db, gone, "", ""))
	assert.Error(t, fits(ctx, b.db, gone, "", "ada"))
	gone.Fields = ada.Fields
	assert.Error(t, fits(ctx, b.db, gone, "", ""))
	for _, err := range []error{context.Canceled, context.DeadlineExceeded} {
		assert.ErrorIs(t, ignoring(err), err)
		assert.True(t, unreadable(err))
	}
	assert.True(t, unreadable(sql.ErrTxDone))
	assert.NoError(t, ignoring(errors.New("of a record")))
}

// What is told while much is written out and taken in, and all of it is chained.
func TestManyItems(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	list := make([]Record, 520)
	for i := range list {
		list[i] = Record{Kind: records.KindPlayer, At: clock(i), Fields: records.Fields{"name": fmt.Sprintf("Invented %d", i)}}
	}
	_, err := b.AddAll(ctx, list)
	require.NoError(t, err)
	newJob(t, b, 2) // with three records and a plan
	require.NoError(t, b.Seal(ctx))
	n, err := b.Unsealed(ctx)
	require.NoError(t, err)
	assert.Zero(t, n)
	var told []string
	path := filepath.Join(t.TempDir(), "whole")
	require.NoError(t, b.ExportAll(ctx, path, func(done, total int) { told = append(told, fmt.Sprint(done, " of ", total)) }))
	assert.Equal(t, []string{"256 of 525", "512 of 525", "525 of 525"}, told)
	told = nil
	other := fresh(t)
	m, err := other.Import(ctx, path, clock(900), func(what string, done, total int) { told = append(told, fmt.Sprint(what, " ", done, " of ", total)) })
	require.NoError(t, err)
	assert.Equal(t, 523, m.Records.Added)
	assert.Equal(t, []string{"tried 256 of 0", "tried 512 of 0", "tried 525 of 0", "taken in 256 of 525", "taken in 512 of 525", "taken in 525 of 525"}, told)
	assert.Equal(t, content(t, b), content(t, other))
}

// What is wrong with the lines of an export is said.
func TestLinesOfAnExport(t *testing.T) {
	read := func(lines ...string) error {
		return itemReader{take: func(item) error { return nil }}.readLines(context.Background(), strings.NewReader(strings.Join(lines, "\n")))
	}
	for want, lines := range map[string][]string{
		"":                  {`{"pullcard book":1}`},
		"the file is empty": nil,
		"a newer one may":   {`{"pullcard book":1}`, `{"song":1}`},
		"this is no line of an export: unexpected": {`{"pullcard book":1}`, `{`},
		"cut off": {`{"pullcard book":1,"records":1}`},
	} {
		if err := read(lines...); want == "" {
			assert.NoError(t, err)
		} else {
			assert.ErrorContains(t, err, want)
		}
	}
}

// Where a job stands is worked out from how long its plans are, and at which event it does not fit.
func TestOutlines(t *testing.T) {
	s := progress.Start(blank(3))
	s, err := s.ApplyAll([]progress.Event{event(progress.Done, 1), event(progress.Done, 2)})
	require.NoError(t, err)
	for steps := range 4 {
		if steps > 0 {
			assert.Len(t, outlinePlan(s, steps, true, "x").Steps, steps)
		}
	}
	for next, want := range map[string]int{"": 0, "4": 4} {
		e, whole := outlineEvent(s, "mishap\x1f3\x1f1\x1f"+next+"\x1fmisweave")
		assert.True(t, whole)
		assert.Equal(t, 3, e.Step)
		assert.Equal(t, want > 0, e.Plan != nil)
		if e.Plan != nil {
			assert.Len(t, e.Plan.Steps, want)
		}
	}
	_, whole := outlineEvent(s, "mishap\x1f3\x1f1\x1f0\x1fmisweave")
	assert.False(t, whole)
	assert.Empty(t, saltFor(event(progress.Done, 1)))
	said := event(progress.Note, 1)
	said.Why = "invented"
	assert.NotEmpty(t, saltFor(said))
	b := fresh(t)
	id := newJob(t, b, 6)
	do(t, b, id, 0, event(progress.Done, 1), event(progress.Done, 2))
	sqlExec(t, b.db, "UPDATE events SET step = 5 WHERE seq = 2")
	assert.ErrorContains(t, b.Append(context.Background(), id, 2, event(progress.Done, 3)), "event 2: ")
	assert.ErrorContains(t, b.Append(context.Background(), 99, 0, event(progress.Done, 1)), "no job 99")
}

// What is said depends on what came of it, and advice on what stands in the way.
func TestAdvice(t *testing.T) {
	assert.Contains(t, fmt.Sprint(Merged{Conflicts: []Conflict{{What: "x"}}}.Tell()), "what was said last counts")
	assert.NotContains(t, fmt.Sprint(Merged{Conflicts: []Conflict{{What: wasRemoved}}}.Tell()), "what was said last counts")
	for _, err := range []error{fs.ErrPermission, syscall.EROFS} {
		assert.NotEqual(t, "f: write: "+err.Error(), problem("f", "write", err).Error(), "with advice")
	}
	assert.Equal(t, "f: write: x", problem("f", "write", errors.New("x")).Error())
	_, err := fresh(t).db.Exec("SELECT 1 FROM nothing")
	require.Error(t, err)
	assert.False(t, busy(err) || damaged(err) || noDatabase(err))
}

// What lies beside a book and is none of it stays.
func TestFilesBeside(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	full := write("sub-file", "x")
	require.NoError(t, gone(full))
	require.NoError(t, gone(full), "it is gone")
	require.NoError(t, os.Mkdir(full, 0o700))
	write("sub-file/x", "x")
	assert.Error(t, gone(full))
	assert.Error(t, mustExist("/dev/null"))
	assert.NoError(t, mustExist(write("there", "x")))
	real, err := filepath.EvalSymlinks(dir)
	require.NoError(t, err)
	assert.Equal(t, real, existing(filepath.Join(dir, "to", "be", "made")))

	path := filepath.Join(dir, "book")
	require.NoError(t, leftovers(path))
	write("book-wal", "first")
	write("book-left-wal", "kept")
	require.NoError(t, leftovers(path))
	assert.NoFileExists(t, path+"-wal")
	for name, text := range map[string]string{"-left-wal": "kept", "-left-2-wal": "first"} {
		got, err := os.ReadFile(path + name)
		require.NoError(t, err)
		assert.Equal(t, text, string(got))
	}
	write("book", "a book")
	write("book-wal", "its own")
	require.NoError(t, leftovers(path))
	assert.FileExists(t, path)
	assert.FileExists(t, path+"-wal", "the book is there")

	dangling := filepath.Join(dir, "dangling")
	require.NoError(t, os.Symlink(filepath.Join(dir, "nowhere"), dangling))
	require.NoError(t, leftovers(dangling))
	_, err = os.Lstat(dangling)
	assert.NoError(t, err, "a link leads to where the book will be")

	n, err := forgetAgain(context.Background(), dir, nil)
	assert.NoError(t, err, "there is nothing to open it for")
	assert.Zero(t, n)
	b := fresh(t)
	ada, bo := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"}), added(t, b, records.KindPlayer, records.Fields{"name": "Bo (invented)"})
	_, err = b.Forget(context.Background(), ada.UID)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	n, err = forgetAgain(context.Background(), b.path, []string{"nobody", ada.UID, bo.UID})
	require.NoError(t, err)
	assert.Equal(t, 1, n)
}

// Of the files of an open book it is known which write was nobody's here.
func TestTrace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	require.NoError(t, os.WriteFile(path, []byte("some text"), 0o600))
	began := time.Date(2031, 5, 4, 3, 2, 1, 0, time.UTC)
	require.NoError(t, os.Chtimes(path, began, began))
	before, err := os.Stat(path)
	require.NoError(t, err)
	f, err := follow(path, before, nil)
	require.NoError(t, err)
	assert.True(t, f.untouched())
	look := func(wrote bool) bool {
		t.Helper()
		why, suspicious := f.look(wrote)
		assert.Empty(t, why)
		return suspicious
	}
	touch := func(path string, n int) {
		t.Helper()
		require.NoError(t, os.Chtimes(path, began, began.Add(time.Duration(n)*time.Second)))
	}
	assert.False(t, look(false))
	touch(path, 1)
	assert.False(t, f.untouched())
	assert.False(t, look(true), "a write of ours")
	touch(path, 2)
	assert.True(t, look(false))
	require.NoError(t, os.WriteFile(path+"-wal", []byte("some text"), 0o600))
	assert.False(t, look(false))
	touch(path+"-wal", 3)
	assert.False(t, look(false), "the journal is written all the time")
	require.NoError(t, os.Truncate(path+"-wal", 0))
	touch(path, 2)
	assert.True(t, look(true), "it became shorter")
	require.NoError(t, os.Truncate(path, 1))
	assert.True(t, look(true))
	require.NoError(t, os.Truncate(path, 0))
	why, _ := f.look(true)
	assert.Contains(t, why, "was emptied")

	require.NoError(t, os.WriteFile(path, []byte("some text"), 0o600))
	touch(path, 0)
	g, err := follow(path, before, nil)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte("some more text"), 0o600))
	touch(path, 0)
	assert.False(t, g.untouched(), "the length differs")

	require.NoError(t, os.Link(path, path+"2"))
	go func() {
		time.Sleep(30 * time.Millisecond)
		os.Remove(path + "2")
	}()
	_, err = waitSingleLink(context.Background(), path)
	assert.NoError(t, err, "the other name is there for a moment")
}

// asked is a connection that compiles nothing, but says when it is asked to.
type asked struct{ conn }

var errAsked = errors.New("asked")

func (asked) PrepareContext(context.Context, string) (driver.Stmt, error) { return nil, errAsked }

// Statements about rows are compiled, as many as there is room for.
func TestWhatIsCompiled(t *testing.T) {
	of := func(known int, query string) error {
		c := &compiling{asked{}, map[string]*compiled{}}
		for n := range known {
			c.known[fmt.Sprint(n)] = nil
		}
		_, err := c.of(context.Background(), query)
		return err
	}
	assert.ErrorIs(t, of(0, "SELECT 1"), errAsked)
	assert.ErrorIs(t, of(mostCompiled-1, "SELECT 1"), errAsked)
	assert.NoError(t, of(mostCompiled, "SELECT 1"))
	assert.NoError(t, of(0, "PRAGMA data_version"))
	assert.NoError(t, of(0, "DELETE FROM a; DELETE FROM b"))
}

// A job file is not begun twice at a time by who does not want that.
func TestBegunTwice(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	d := Draft{File: "a.toml", Source: []byte("x"), At: clock(0), Plan: invented(2), Alone: true}
	_, err := b.NewJob(ctx, d)
	require.NoError(t, err)
	_, err = b.NewJob(ctx, d)
	assert.ErrorContains(t, err, "as job 1")
	d.File = ""
	for range 2 {
		_, err = b.NewJob(ctx, d)
		assert.NoError(t, err, "who has no file is no second one of it")
	}
}

// The clock of what is said goes on, also where that of the machine stands or is put back.
func TestTick(t *testing.T) {
	b := fresh(t)
	within(t, b, func(m *merger) {
		last := ""
		for _, now := range []time.Time{clock(0), clock(0), clock(-60), clock(1)} {
			text, err := tick(m.ctx, m.tx, now)
			require.NoError(t, err)
			require.Greater(t, text, last)
			last = text
		}
	})
}

// Somebody who takes the sign away, or lays another one in its place, is noticed.
func TestSoleStands(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sign")
	require.NoError(t, blankFile(path))
	made, err := os.Stat(path)
	require.NoError(t, err)
	a := &sole{path: path, made: made}
	assert.True(t, a.stands())
	require.NoError(t, os.Chtimes(path, clock(0), clock(0)))
	assert.False(t, a.stands(), "written to")
	require.NoError(t, os.Rename(path, path+"-before"))
	assert.False(t, a.stands(), "gone")
	require.NoError(t, blankFile(path))
	require.NoError(t, os.Chtimes(path, made.ModTime(), made.ModTime()))
	assert.False(t, a.stands(), "another one of that time")
}

// What is wrong with a file is said as it is.
func TestWrongFiles(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	path := filepath.Join(dir, "file")
	require.ErrorIs(t, flush(path), fs.ErrNotExist)
	require.NoError(t, blankFile(path))
	require.ErrorIs(t, blankFile(path), fs.ErrExist)
	for size, good := range []bool{false, false, true} {
		require.NoError(t, os.WriteFile(path, make([]byte, size), 0o600))
		_, err := waitSingleLink(ctx, path)
		assert.Equal(t, good, err == nil, size)
	}
	require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("no book at all ", 400)), 0o600))
	_, err := raw(t, path).Exec("SELECT count(*) FROM sqlite_schema")
	assert.True(t, damaged(err), err)
	assert.False(t, damaged(nil))
	assert.ErrorContains(t, mark{application: application, version: -1}.checkOurs(), "version -1")
}

func TestRolledBack(t *testing.T) {
	b := fresh(t)
	require.NoError(t, rolledBack(nil))
	tx, err := b.db.Begin()
	require.NoError(t, err)
	require.NoError(t, rolledBack(tx))
	assert.ErrorIs(t, tx.Commit(), sql.ErrTxDone, "it was")
	assert.NoError(t, rolledBack(tx), "by somebody else")
}

// Whatever names something of a lesson is of it.
func TestNewUID(t *testing.T) {
	k, _ := records.Find(records.KindRacket)
	for of, want := range map[string]bool{newUID(k, nil, true): true, newUID(k, nil, false): false} {
		assert.Equal(t, want, Lesson(of))
		assert.Equal(t, want, Lesson(newUID(k, records.Fields{"player": of}, false)))
	}
}

// Of records that a lost job takes along those that the book has are left, whatever comes after them is added.
func TestAddNew(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	there := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	more := Record{UID: "more", Kind: records.KindPlayer, At: clock(0), Fields: records.Fields{"name": "Bo (invented)"}}
	within(t, b, func(m *merger) {
		require.NoError(t, addNew(ctx, m.tx, []Record{there, more}))
		_, err := record(ctx, m.tx, more.UID)
		require.NoError(t, err)
	})
	_, err := b.Lookup(ctx, records.KindPlayer, "999")
	assert.ErrorContains(t, err, "there is no player")
}

// What was taken out of the queue does not wait any more, whatever is said of it later.
func TestRemovedDoesNotWait(t *testing.T) {
	b, ctx := fresh(t), context.Background()
	r := added(t, b, records.KindJob, records.Fields{"text": "frame", "file": "w.toml"})
	waiting := func() (n int) {
		require.NoError(t, b.db.QueryRow("SELECT waiting FROM records WHERE uid = ?", r.UID).Scan(&n))
		return n
	}
	assert.Equal(t, 1, waiting())
	require.NoError(t, b.Remove(ctx, r.UID))
	assert.Zero(t, waiting())
	within(t, b, func(m *merger) {
		_, err := refold(ctx, m.tx, r.UID)
		require.NoError(t, err)
	})
	assert.Zero(t, waiting())
}
