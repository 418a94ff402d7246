package room_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
)

// shelf has books for one history after another, which are emptied in between: to make a file, and to compile what is asked of it, takes
// longer than what most histories do with it.
type shelf struct {
	t    testing.TB // of all histories
	all  []*shelved
	used int
}

// shelved is a book and a second way to its file.
type shelved struct {
	*book.Book
	db    *sql.DB
	empty string // the script that makes it like one that is new
}

// take gives a book with nothing in it to a bench.
func (s *shelf) take(t testing.TB, name string) *book.Book {
	t.Helper()
	if s.used == len(s.all) {
		s.all = append(s.all, newShelved(s.t))
	}
	b := s.all[s.used]
	s.used++
	require.NoError(t, b.Renew(context.Background())) // it was a copy
	require.NoError(t, b.Join(context.Background(), name))
	return b.Book
}

func newShelved(t testing.TB) *shelved {
	b := &shelved{Book: openBook(t, emptyFile(t))}
	var err error
	b.db, err = sql.Open("sqlite", b.Path())
	require.NoError(t, err)
	b.db.SetMaxOpenConns(1)
	t.Cleanup(func() { b.db.Close() })
	_, err = b.db.Exec("ATTACH ? AS new", emptyFile(t))
	require.NoError(t, err)
	rows, err := b.db.Query("SELECT name FROM sqlite_schema WHERE type = 'table'")
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var table string
		require.NoError(t, rows.Scan(&table))
		b.empty += fmt.Sprintf("DELETE FROM main.%[1]s; INSERT INTO main.%[1]s SELECT * FROM new.%[1]s; ", table)
	}
	require.NoError(t, rows.Err())
	return b
}

// back empties what was taken. What a history that failed leaves is left as it is, and used no more.
func (s *shelf) back(t testing.TB) {
	if t.Failed() {
		s.all, s.used = s.all[s.used:], 0
	}
	for _, b := range s.all[:s.used] {
		_, err := b.db.Exec("BEGIN IMMEDIATE; " + b.empty + "COMMIT")
		require.NoError(t, err)
		beside, err := filepath.Glob(b.Path() + "-before-*")
		require.NoError(t, err)
		for _, path := range beside {
			require.NoError(t, os.Remove(path))
		}
	}
	s.used = 0
}
