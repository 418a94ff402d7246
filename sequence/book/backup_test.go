package book

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// files lists what lies in a folder.
func files(t testing.TB, dir string) (names []string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

// thick fills a book with so many bytes of words that a copy of it takes several stretches.
func thick(t testing.TB, b *Book) {
	t.Helper()
	id := newJob(t, b, 3)
	for n := range 5 {
		e := event(progress.Note, 1)
		e.Why = strings.Repeat("worn ", 120_000)
		do(t, b, id, n, e)
	}
}

func TestBackup(t *testing.T) {
	ctx, b, dir := context.Background(), fresh(t), t.TempDir()
	thick(t, b)
	path := filepath.Join(dir, "copy")
	var seen []int
	require.NoError(t, b.Backup(ctx, path, func(done, total int) { seen = append(seen, done, total) }))
	assert.Greater(t, len(seen), 4, "it is told more than once")
	assert.Equal(t, seen[len(seen)-1], seen[len(seen)-2], "at last all is done")
	assert.Equal(t, []string{"copy"}, files(t, dir), "one file is the whole copy")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	before := exported(t, b)
	newJob(t, b, 2)
	require.NoError(t, os.Rename(path, filepath.Join(dir, "moved")))
	assert.Equal(t, before, exported(t, open(t, filepath.Join(dir, "moved"))))
}

func TestBackupHasWhatIsNotInTheFileYet(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 2)
	wal, err := os.Stat(b.path + "-wal")
	require.NoError(t, err)
	require.Positive(t, wal.Size(), "the job is beside the book still")
	path := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, b.Backup(context.Background(), path, nil))
	assert.Equal(t, exported(t, b), exported(t, open(t, path)))
}

// Others write on while the copy is made, and neither waits; the copy is of one moment.
func TestBackupWhileTheWorkGoesOn(t *testing.T) {
	b := fresh(t)
	thick(t, b)
	id := newJob(t, b, 400)
	sqlExec(t, b.db, "PRAGMA busy_timeout = 0")
	before, told, n := exported(t, b), 0, 0
	path := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, b.Backup(context.Background(), path, func(int, int) {
		told++
		for range 3 {
			do(t, b, id, n, event(progress.Done, n+1))
			n++
		}
	}))
	assert.Less(t, told, 30, "no change started it over")
	require.Positive(t, n)
	c := open(t, path)
	assert.Equal(t, before, exported(t, c))
	requireAsTold(t, c, id)
}

func TestBackupsAtOnce(t *testing.T) {
	b, dir := fresh(t), t.TempDir()
	thick(t, b)
	var wg sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		wg.Go(func() { errs[i] = b.Backup(context.Background(), filepath.Join(dir, "copy"), nil) })
	}
	wg.Wait()
	made := 0
	for _, err := range errs {
		if err == nil {
			made++
		} else {
			assert.ErrorContains(t, err, "the file is there already and stays as it is; name another one")
		}
	}
	assert.Equal(t, 1, made)
	assert.Equal(t, []string{"copy"}, files(t, dir))
}

func TestBackupStopped(t *testing.T) {
	b, dir := fresh(t), t.TempDir()
	thick(t, b)
	ctx, stop := context.WithCancel(context.Background())
	err := b.Backup(ctx, filepath.Join(dir, "copy"), func(int, int) { stop() })
	require.ErrorIs(t, err, context.Canceled)
	assert.ErrorContains(t, err, "stopped after 64 of ")
	assert.Empty(t, files(t, dir))
	do(t, b, 1, 5, event(progress.Done, 1))
}

func TestBackupRefused(t *testing.T) {
	ctx, b, dir := context.Background(), fresh(t), t.TempDir()
	newJob(t, b, 2)
	there := filepath.Join(dir, "there")
	require.NoError(t, os.WriteFile(there, []byte("mine"), 0o600))
	require.NoError(t, os.Symlink(filepath.Join(dir, "nowhere"), filepath.Join(dir, "link")))
	for path, want := range map[string]string{
		there:                              "the file is there already and stays as it is; name another one",
		b.path:                             "the file is there already",
		dir:                                "the file is there already",
		filepath.Join(dir, "link"):         "the file is there already",
		filepath.Join(dir, "none", "copy"): "there is no folder " + filepath.Join(dir, "none") + "; make it first",
	} {
		assert.ErrorContains(t, b.Backup(ctx, path, nil), want)
	}
	assert.Equal(t, []string{"link", "there"}, files(t, dir))
	kept, err := os.ReadFile(there)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept))
}

// rot writes over the middle of a closed book.
func rot(t testing.TB, path string) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	require.NoError(t, err)
	info, err := f.Stat()
	require.NoError(t, err)
	// The first pages hold the schema, without which it is no book at all.
	for at := int64(64 * 4096); at < info.Size(); at += 4096 {
		_, err = f.WriteAt([]byte(strings.Repeat("x", 512)), at)
		require.NoError(t, err)
	}
	require.NoError(t, f.Close())
}

// A copy of a damaged book would be taken for a good one.
func TestBackupOfADamagedBook(t *testing.T) {
	path, dir := filepath.Join(t.TempDir(), "book"), t.TempDir()
	b := open(t, path)
	thick(t, b)
	require.NoError(t, b.Close())
	rot(t, path)
	err := open(t, path).Backup(context.Background(), filepath.Join(dir, "copy"), nil)
	require.ErrorContains(t, err, "the file is damaged")
	assert.ErrorContains(t, err, fmt.Sprintf("copy %s of the book %s: write: ", filepath.Join(dir, "copy"), path))
	assert.Empty(t, files(t, dir))
}
