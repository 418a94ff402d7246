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

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
)

func TestOpenMakesABookForItsOwnerOnly(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data", "of a player")
	b := open(t, filepath.Join(dir, "book"))
	newJob(t, b, 2)
	for path, want := range map[string]os.FileMode{dir: 0o700, filepath.Dir(dir): 0o700, b.path: 0o600, b.path + "-wal": 0o600, b.path + "-shm": 0o600} {
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, want, info.Mode().Perm(), path)
	}
}

func TestOpenSetsTheConnectionUp(t *testing.T) {
	b := fresh(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "busy_timeout": "5000",
		"foreign_keys": "1", "application_id": "1346585163", "user_version": fmt.Sprint(len(scripts()))} {
		var got string
		require.NoError(t, b.db.QueryRow("PRAGMA "+pragma).Scan(&got))
		assert.Equal(t, want, got, pragma)
	}
}

func TestOpenOddNames(t *testing.T) {
	for _, name := range []string{"a b", "50%", "what?", "no#1", "a&b=c", "%41", "ä", "file:x", "-", "?mode=memory"} {
		path := filepath.Join(t.TempDir(), name)
		newJob(t, open(t, path), 1)
		assert.FileExists(t, path)
		list, err := open(t, path).Jobs(context.Background(), Filter{})
		require.NoError(t, err)
		assert.Len(t, list, 1, name)
	}
}

func TestOpenARelativePath(t *testing.T) {
	t.Chdir(t.TempDir())
	newJob(t, open(t, "book"), 1)
	assert.FileExists(t, "book")
}

func TestOpenRefuses(t *testing.T) {
	for _, c := range []struct {
		name, want string
		file       func(t *testing.T, path string)
	}{
		{"text", "the file is no record book, or its beginning is damaged", func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("dear diary\n", 100)), 0o600))
		}},
		{"another program's tables", "the file belongs to another program", func(t *testing.T, path string) {
			sqlExec(t, raw(t, path), "CREATE TABLE songs (name TEXT)")
		}},
		{"another program's mark", "the file belongs to another program", func(t *testing.T, path string) {
			sqlExec(t, raw(t, path), "PRAGMA application_id = 1234; CREATE TABLE songs (name TEXT)")
		}},
		{"a newer book", fmt.Sprintf("the book was written by a newer version of this program (book version 99, this program knows up to %d); use that one", len(scripts())),
			func(t *testing.T, path string) {
				require.NoError(t, open(t, path).Close())
				sqlExec(t, raw(t, path), "PRAGMA user_version = 99")
			}},
		{"a version below nought", "the book says that it is of version -7, so its beginning is damaged", func(t *testing.T, path string) {
			require.NoError(t, open(t, path).Close())
			sqlExec(t, raw(t, path), "PRAGMA user_version = -7")
		}},
		{"a file of no length", "the file is as good as empty and is no book", func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, nil, 0o600)) }},
		{"a file of one byte", "the file is as good as empty and is no book", func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, []byte("S"), 0o600)) }},
		{"a book of two names", "the file has 2 names (hard links)", func(t *testing.T, path string) {
			require.NoError(t, open(t, path).Close())
			require.NoError(t, os.Link(path, path+" too"))
		}},
		{"a folder", "that is a folder; name a file", func(t *testing.T, path string) { require.NoError(t, os.Mkdir(path, 0o700)) }},
		{"a torn book", "the file is damaged", func(t *testing.T, path string) {
			require.NoError(t, open(t, path).Close())
			require.NoError(t, os.Truncate(path, 4096))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book")
			c.file(t, path)
			before, _ := os.ReadFile(path)
			_, err := Open(context.Background(), path)
			require.ErrorContains(t, err, c.want)
			assert.ErrorContains(t, err, "book "+path+": open: ")
			after, _ := os.ReadFile(path)
			assert.Equal(t, before, after, "the file is as it was")
		})
	}
}

func TestOpenUnderAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, err := Open(context.Background(), filepath.Join(path, "book"))
	assert.ErrorContains(t, err, "make the book: ")
	assert.ErrorContains(t, err, "name another file or see that you may write there")
}

// What a program leaves that is stopped while it makes a book.
func TestOpenABookHalfMade(t *testing.T) {
	for name, leave := range map[string]func(path string){
		"no tables yet": func(path string) {
			db := raw(t, path)
			sqlExec(t, db, "PRAGMA journal_mode = WAL")
			require.NoError(t, db.Close())
			info, err := os.Stat(path)
			require.NoError(t, err)
			require.Positive(t, info.Size())
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book")
			leave(path)
			newJob(t, open(t, path), 1)
		})
	}
}

// A copy made by other means than copying the file does not keep the journal mode.
func TestOpenACopy(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 2)
	path := b.path + " copy"
	sqlExec(t, b.db, "VACUUM INTO '"+path+"'")
	c := open(t, path)
	var mode string
	require.NoError(t, c.db.QueryRow("PRAGMA journal_mode").Scan(&mode))
	assert.Equal(t, "wal", mode)
	assert.Equal(t, exported(t, b), exported(t, c))
}

func TestOpenAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	var wg sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		wg.Go(func() {
			b, err := Open(context.Background(), path)
			if errs[i] = err; err == nil {
				_, errs[i] = b.NewJob(context.Background(), Draft{At: clock(i), Plan: invented(1)})
				b.Close()
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		assert.NoError(t, err)
	}
	list, err := open(t, path).Jobs(context.Background(), Filter{})
	require.NoError(t, err)
	assert.Len(t, list, len(errs))
}

func TestDamagedInTheMiddle(t *testing.T) {
	sweep.Only(t)
	path := filepath.Join(t.TempDir(), "book")
	b := open(t, path)
	for range 50 {
		id := newJob(t, b, 20)
		for n := range 20 {
			do(t, b, id, n, event(progress.Done, n+1))
		}
	}
	require.NoError(t, b.Close())
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	require.NoError(t, err)
	info, err := f.Stat()
	require.NoError(t, err)
	for at := int64(64 * 4096); at < info.Size(); at += 4096 {
		_, err = f.WriteAt([]byte(strings.Repeat("x", 512)), at)
		require.NoError(t, err)
	}
	require.NoError(t, f.Close())

	b = open(t, path)
	err = b.Export(context.Background(), new(strings.Builder))
	require.ErrorContains(t, err, "the file is damaged; set it aside")
	assert.ErrorContains(t, err, fmt.Sprintf("book %s: export: ", path))
}
