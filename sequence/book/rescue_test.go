package book

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// taken are the ways in which an open book goes away. old is another whole book.
func taken() map[string]func(t require.TestingT, path, old string) {
	write := func(t require.TestingT, path string, text []byte) {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_TRUNC, 0)
		require.NoError(t, err)
		_, err = f.Write(text)
		require.NoError(t, errors.Join(err, f.Close()))
	}
	return map[string]func(t require.TestingT, path, old string){
		"deleted": func(t require.TestingT, path, _ string) { require.NoError(t, os.Remove(path)) },
		"deleted with all beside it": func(t require.TestingT, path, _ string) {
			for _, more := range companions() {
				require.NoError(t, gone(path+more))
			}
		},
		"its folder deleted": func(t require.TestingT, path, _ string) { require.NoError(t, os.RemoveAll(filepath.Dir(path))) },
		"renamed":            func(t require.TestingT, path, _ string) { require.NoError(t, os.Rename(path, path+" old")) },
		"its folder renamed": func(t require.TestingT, path, _ string) {
			require.NoError(t, os.Rename(filepath.Dir(path), filepath.Dir(path)+" old"))
		},
		"replaced by another book": func(t require.TestingT, path, old string) {
			text, err := os.ReadFile(old)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path+" new", text, 0o600))
			require.NoError(t, os.Rename(path+" new", path))
		},
		"replaced by a text": func(t require.TestingT, path, _ string) {
			require.NoError(t, os.Remove(path))
			require.NoError(t, os.WriteFile(path, []byte("dear diary"), 0o600))
		},
		"written over by another book": func(t require.TestingT, path, old string) {
			text, err := os.ReadFile(old)
			require.NoError(t, err)
			write(t, path, text)
		},
		"written over by a text": func(t require.TestingT, path, _ string) { write(t, path, []byte(strings.Repeat("dear diary ", 9000))) },
		"emptied":                func(t require.TestingT, path, _ string) { require.NoError(t, os.Truncate(path, 0)) },
		"cut off":                func(t require.TestingT, path, _ string) { require.NoError(t, os.Truncate(path, 5000)) },
		"linked":                 func(t require.TestingT, path, _ string) { require.NoError(t, os.Link(path, path+" too")) },
		"journal deleted":        func(t require.TestingT, path, _ string) { require.NoError(t, os.Remove(path+"-wal")) },
		"journal emptied":        func(t require.TestingT, path, _ string) { require.NoError(t, os.Truncate(path+"-wal", 0)) },
		"index deleted":          func(t require.TestingT, path, _ string) { require.NoError(t, os.Remove(path+"-shm")) },
	}
}

// However a book goes away at any step of a job, each event that was told to be kept is found again by somebody who opens
// the book or imports the rescue file, and so is what was in the book besides, where it could be read.
func TestBookGoesAway(t *testing.T) {
	for name, take := range taken() {
		if !sweep.Name(name, 5) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for range sweep.Share(4, 4) {
				seed := rand.Uint64()
				awayAtRandom(t, rand.New(rand.NewPCG(seed, 0)), take)
				if t.Failed() {
					t.Fatalf("seed %d", seed)
				}
			}
		})
	}
}

const awaySteps = 8

func awayAtRandom(t *testing.T, random *rand.Rand, take func(t require.TestingT, path, old string)) {
	ctx, base := context.Background(), t.TempDir()
	path, old, at := filepath.Join(base, "place", "book"), filepath.Join(base, "old"), 1+random.IntN(awaySteps)
	rescuing := func() *Book {
		b := open(t, path)
		b.RescueTo(filepath.Join(base, "data"), func() time.Time { return clock(0) })
		return b
	}
	b := rescuing()
	newJob(t, b, 3)
	require.NoError(t, b.Backup(ctx, old, nil))
	if random.IntN(2) == 0 {
		require.NoError(t, b.Close())
		b = rescuing()
	}
	w := worker{Book: b, draft: Draft{Player: "Player two", Racket: "Racket two", File: "job.toml", Source: []byte("frame = \"invented\"\n"), At: clock(0), Plan: invented(awaySteps)}}
	for n := 1; n <= awaySteps; n++ {
		if n == at {
			take(t, path, old)
		}
		w.do(t, event(progress.Done, n))
	}
	j, err := b.Job(ctx, w.id)
	require.NoError(t, err)
	r := b.Rescued()
	into := filepath.Join(base, "another")
	if r == nil { // what was taken stood beside it in the journal
		into = path
	}
	other := open(t, into)
	if r != nil {
		require.Equal(t, filepath.Join(base, "data"), filepath.Dir(r.File))
		require.NoError(t, b.Close())
		_, err = other.Import(ctx, r.File, clock(1), nil)
		require.NoError(t, err)
	}
	requireSound(t, other)
	list, err := other.Jobs(ctx, Filter{State: progress.Finished})
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, j.UID, list[0].UID)
	back, err := other.Job(ctx, list[0].ID)
	require.NoError(t, err)
	require.Len(t, back.Events, awaySteps)
	if r == nil || !r.JobOnly {
		list, err = other.Jobs(ctx, Filter{})
		require.NoError(t, err)
		require.Len(t, list, 2, "what was there besides")
	}
}

// worker records events as a bench does.
type worker struct {
	*Book
	draft Draft
	id    int64
	known []progress.Event
}

func (w *worker) do(t *testing.T, e progress.Event) {
	t.Helper()
	ctx, err := context.Background(), error(nil)
	if w.id == 0 {
		if w.id, err = w.NewJob(ctx, w.draft); err == nil {
			j, wrong := w.Job(ctx, w.id)
			require.NoError(t, wrong)
			w.draft.UID = j.UID
		}
	}
	if err == nil {
		err = w.Append(ctx, w.id, len(w.known), e)
	}
	if lost := (*LostError)(nil); errors.As(err, &lost) {
		w.id, err = w.Salvage(ctx, lost, w.draft, append(w.known, e))
	}
	require.NoError(t, err)
	w.known = append(w.known, e)
}

// What is in the book's right is no reason to leave it: to empty the journal, to write the book anew, to restore a copy.
func TestBookStays(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	b.RescueTo(t.TempDir(), func() time.Time { return clock(0) })
	id := newJob(t, b, 30)
	for range 20 {
		newJob(t, b, 20)
	}
	copied := backedUp(t, b)
	for n, work := range []func(){
		func() { require.NoError(t, open(t, b.path).Close()) },
		func() { sqlExec(t, raw(t, b.path), "PRAGMA wal_checkpoint(TRUNCATE)") },
		func() { sqlExec(t, raw(t, b.path), "PRAGMA wal_checkpoint(PASSIVE)") },
		func() {
			sqlExec(t, open(t, b.path).db, "DELETE FROM jobs WHERE id > 1; VACUUM; PRAGMA wal_checkpoint(TRUNCATE)")
		},
		func() { require.NoError(t, b.scrub(ctx)) },
	} {
		work()
		do(t, b, id, n, event(progress.Done, n+1))
		require.Nil(t, b.Rescued(), "after work %d", n)
	}
	_, err := Restore(ctx, b.path, copied, clock(0))
	require.NoError(t, err)
	do(t, b, id, 0, event(progress.Done, 1))
	assert.Nil(t, b.Rescued())
}

// Without a place to save it to, nothing is told to be kept.
func TestBookGoesAwayForGood(t *testing.T) {
	b := fresh(t)
	id := newJob(t, b, 3)
	require.NoError(t, os.Remove(b.path))
	var lost *LostError
	require.ErrorAs(t, b.Append(context.Background(), id, 0, event(progress.Done, 1)), &lost)
	_, err := b.Salvage(context.Background(), lost, Draft{At: clock(0), Plan: invented(3)}, nil)
	require.ErrorAs(t, err, &lost)
	assert.Nil(t, b.Rescued())

	b = fresh(t)
	id = newJob(t, b, 3)
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	b.RescueTo(filepath.Join(file, "data"), func() time.Time { return clock(0) })
	require.NoError(t, os.Remove(b.path))
	err = b.Append(context.Background(), id, 0, event(progress.Done, 1))
	require.ErrorContains(t, err, "book was deleted or renamed, and it could not be saved elsewhere")
}

// What lies beside a book that is not there never becomes the next book's.
func TestMadeBesideLeftovers(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 3)
	require.NoError(t, os.Rename(b.path, b.path+" old"))
	c := open(t, b.path)
	assert.True(t, c.Made())
	list, err := c.Jobs(context.Background(), Filter{})
	require.NoError(t, err)
	assert.Empty(t, list)
	assert.FileExists(t, b.path+"-left-wal")
	added(t, c, records.KindPlayer, records.Fields{"name": "Somebody"})
	requireSound(t, c)
	assert.False(t, open(t, b.path).Made())
}
