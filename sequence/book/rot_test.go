package book

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/records"
)

// A bit that flips in any cell of what a book keeps is found, in a book that was in no room too: it is sealed when it is closed. What stands in
// columns of its own for a reader's haste is held against what it comes of. Only the number that this book gives a record, and which claim was
// its own, are nowhere else; a length of nought says that nobody counted.
func TestFlippedBitsAreFound(t *testing.T) {
	s := invite(t, fresh(t))
	require.NoError(t, s.Claim(context.Background(), Claim{Job: s.job.UID, Number: 1, Bench: "K", At: clock(9)}))
	corrected(t, s.Book, added(t, s.Book, records.KindMachine, records.Fields{"name": "bench one"}), records.Fields{"notes": "oiled"})
	require.NoError(t, s.Close())
	whole, err := os.ReadFile(s.path)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(1, 2))
	tried, missed := 0, map[string]int{}
	for _, table := range []string{"events", "changes", "jobs", "plans", "records", "claims"} {
		for i, column := range columns(t, s.path, table) {
			if of := table + "." + column; of == "records.id" || of == "jobs.claim" || !sweep.Take(i, 3) {
				continue
			}
			for range sweep.Share(12, 12) {
				path := filepath.Join(t.TempDir(), "book")
				require.NoError(t, os.WriteFile(path, whole, 0o600))
				if !flip(t, path, table, column, r) {
					continue
				}
				tried++
				if b, err := Open(context.Background(), path); err == nil {
					c, err := b.Check(context.Background(), nil)
					require.NoError(t, err)
					require.NoError(t, b.Close())
					if len(c.Findings) == 0 {
						missed[table+"."+column]++
					}
				}
			}
		}
	}
	t.Logf("%d flipped bits, missed %v", tried, missed)
	assert.Empty(t, missed)
}

// columns are those of a table.
func columns(t testing.TB, path, table string) (names []string) {
	rows, err := raw(t, path).Query("SELECT name FROM pragma_table_info('" + table + "')")
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		names = append(names, name)
	}
	return names
}

// flip turns one bit of one cell of a column around, where there is one that can be.
func flip(t testing.TB, path, table, column string, r *rand.Rand) bool {
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	sqlExec(t, db, "PRAGMA ignore_check_constraints = 1; PRAGMA foreign_keys = 0")
	rows, err := db.Query(fmt.Sprintf("SELECT %[2]s FROM %[1]s WHERE coalesce(%[2]s, '') <> '' ORDER BY 1", table, column))
	require.NoError(t, err)
	var cells []any
	for rows.Next() {
		var v any
		require.NoError(t, rows.Scan(&v))
		cells = append(cells, v)
	}
	require.NoError(t, rows.Close())
	if len(cells) == 0 {
		return false
	}
	is := cells[r.IntN(len(cells))]
	var to any
	turned := func(b []byte) []byte {
		b = append([]byte(nil), b...)
		b[r.IntN(len(b))] ^= 1 << r.IntN(7)
		return b
	}
	switch v := is.(type) {
	case int64:
		if to = v ^ 1<<r.IntN(6); column == "length" && to == int64(0) {
			return false
		}
	case string:
		to = string(turned([]byte(v)))
	case []byte:
		to = turned(v)
	case float64:
		to = math.Float64frombits(math.Float64bits(v) ^ 1<<r.IntN(62))
	default:
		require.Fail(t, "no bit is turned", "%s.%s has a %T", table, column, is)
	}
	_, err = db.Exec(fmt.Sprintf("UPDATE %[1]s SET %[2]s = ?2 WHERE %[2]s = ?1", table, column), is, to)
	require.NoError(t, db.Close())
	return err == nil // a key that another row has already is refused
}
