package book

import (
	"context"
	"os"
	"path/filepath"
	"pullcard/patterns/sweep"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

func backedUp(t testing.TB, b *Book) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, b.Backup(context.Background(), path, nil))
	return path
}

func TestRestore(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	newJob(t, b, 3)
	copied, then := backedUp(t, b), exported(t, b)
	do(t, b, 1, 0, event(progress.Done, 1))
	newJob(t, b, 4)
	now := exported(t, b)

	// The bench has the book open all the while.
	r, err := Restore(ctx, b.path, copied, clock(0))
	require.NoError(t, err)
	assert.Equal(t, Restored{Kept: b.path + "-before-20310504T163201Z"}, r)
	assert.Equal(t, then, exported(t, b))
	do(t, b, 1, 0, event(progress.Done, 1), event(progress.Done, 2))
	requireSound(t, b)
	assert.Equal(t, now, exported(t, open(t, r.Kept)))
	info, err := os.Stat(r.Kept)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	// Twice in one second: what was kept stays.
	twice, err := Restore(ctx, b.path, copied, clock(0))
	require.NoError(t, err)
	assert.Equal(t, r.Kept+"-2", twice.Kept)
	assert.Equal(t, now, exported(t, open(t, r.Kept)))
}

func TestRestoreWhereNoneIs(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 3)
	path := filepath.Join(t.TempDir(), "new", "book")
	r, err := Restore(context.Background(), path, backedUp(t, b), clock(0))
	require.NoError(t, err)
	assert.Equal(t, Restored{}, r)
	assert.Equal(t, exported(t, b), exported(t, open(t, path)))
}

func TestRestoreACopyOfAnOldBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	_, err := Restore(context.Background(), path, versionOne(t), clock(0))
	require.NoError(t, err)
	list, err := open(t, path).Jobs(context.Background(), Filter{})
	require.NoError(t, err)
	assert.Len(t, list, 3)
}

func TestRestoreOverADamagedBook(t *testing.T) {
	sweep.Only(t)
	for name, damage := range map[string]func(t *testing.T, path string){
		"its beginning": func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte("dear diary, what I still have of the book is in here"), 0o600))
			require.NoError(t, os.WriteFile(path+"-wal", []byte("and here"), 0o600))
		},
		"cut off":    func(t *testing.T, path string) { require.NoError(t, os.Truncate(path, 4096)) },
		"its middle": func(t *testing.T, path string) { rot(t, path) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "book")
			b := open(t, path)
			thick(t, b)
			copied, then := backedUp(t, b), exported(t, b)
			require.NoError(t, b.Close())
			damage(t, path)
			before, err := os.ReadFile(path)
			require.NoError(t, err)
			beside, _ := os.ReadFile(path + "-wal")

			r, err := Restore(context.Background(), path, copied, clock(0))
			require.NoError(t, err)
			assert.Equal(t, then, exported(t, open(t, path)))
			kept, err := os.ReadFile(r.Kept)
			require.NoError(t, err)
			// The head of the file says how it was written last, which a copy changes.
			head := min(100, len(before)-1)
			assert.True(t, len(kept) == len(before) && string(before[head:]) == string(kept[head:]), "it is kept byte for byte")
			keptBeside, _ := os.ReadFile(r.Kept + "-wal")
			assert.Equal(t, beside, keptBeside)
		})
	}
}

func TestRestoreRefused(t *testing.T) {
	sweep.Only(t)
	ctx, b := context.Background(), fresh(t)
	thick(t, b)
	copied := backedUp(t, b)
	dir := t.TempDir()
	file := func(name string, make func(path string)) string {
		path := filepath.Join(dir, name)
		make(path)
		return path
	}
	text := file("text", func(path string) {
		require.NoError(t, os.WriteFile(path, []byte("dear diary, this is no book"), 0o600))
	})
	foreign := file("songs", func(path string) { sqlExec(t, raw(t, path), "CREATE TABLE songs (name TEXT)") })
	newer := file("newer", func(path string) {
		require.NoError(t, open(t, path).Close())
		sqlExec(t, raw(t, path), "PRAGMA user_version = 99")
	})
	rotten := file("rotten", func(path string) {
		require.NoError(t, b.Backup(ctx, path, nil))
		rot(t, path)
	})
	empty := file("empty", func(path string) { require.NoError(t, os.WriteFile(path, nil, 0o600)) })
	before := exported(t, b)
	for _, c := range []struct{ book, copied, want string }{
		{b.path, text, "the file is no record book"},
		{b.path, foreign, "the file belongs to another program"},
		{b.path, newer, "newer version of this program"},
		{b.path, rotten, "the file is damaged"},
		{b.path, empty, "the file is empty"},
		{b.path, dir, "that is a folder"},
		{b.path, filepath.Join(dir, "none"), "there is no such file"},
		{b.path, b.path, "that is this book itself"},
		{foreign, copied, "the file belongs to another program"},
		{newer, copied, "newer version of this program"},
	} {
		was, err := os.ReadFile(foreign)
		require.NoError(t, err)
		_, err = Restore(ctx, c.book, c.copied, clock(0))
		assert.ErrorContains(t, err, c.want)
		assert.Equal(t, before, exported(t, b))
		is, err := os.ReadFile(foreign)
		require.NoError(t, err)
		assert.Equal(t, was, is)
	}
	assert.ElementsMatch(t, []string{"book", "book-wal", "book-shm"}, files(t, filepath.Dir(b.path)), "nothing lies about")
}

func TestRestoreWhileLocked(t *testing.T) {
	t.Parallel() // it waits
	b := fresh(t)
	newJob(t, b, 3)
	copied := backedUp(t, b)
	newJob(t, b, 4)
	before := exported(t, b)
	other := raw(t, b.path)
	other.SetMaxOpenConns(1)
	sqlExec(t, other, "BEGIN IMMEDIATE")
	r, err := Restore(context.Background(), b.path, copied, clock(0))
	require.ErrorContains(t, err, "another program keeps the book locked; nothing was changed")
	assert.Equal(t, before, exported(t, open(t, r.Kept)), "what it says is kept is there")
	sqlExec(t, other, "ROLLBACK")
	assert.Equal(t, before, exported(t, b))
}

// A copy from before does not bring back who was forgotten since.
func TestRestoreForgetsAgain(t *testing.T) {
	ctx, s := context.Background(), invite(t, fresh(t))
	copied := backedUp(t, s.Book)
	_, err := s.Forget(ctx, s.player.UID)
	require.NoError(t, err)
	added(t, s.Book, records.KindPlayer, records.Fields{"name": "Somebody who came later"})
	r, err := Restore(ctx, s.path, copied, clock(0))
	require.NoError(t, err)
	assert.Equal(t, 1, r.Forgotten)
	require.NoError(t, s.Close())
	assert.Empty(t, where(t, s.path, secret))
	assert.Empty(t, where(t, r.Kept, secret))
}
