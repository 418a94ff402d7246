package book

import (
	"context"
	"database/sql"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
)

var update = flag.Bool("update", false, "write the sums anew")

// hostile are changes of a book's schema after which every page is still sound, with what is said of each.
func hostile() map[string][2]string {
	return map[string][2]string{
		"a trigger that deletes":    {"CREATE TRIGGER zap AFTER UPDATE ON jobs BEGIN DELETE FROM events WHERE job = NEW.id; END", `its schema has the trigger "zap"`},
		"a trigger under our name":  {"DROP TRIGGER jobs_record; CREATE TRIGGER jobs_record AFTER INSERT ON events BEGIN DELETE FROM events; END", `its schema has the trigger "jobs_record"`},
		"a trigger that is missing": {"DROP TRIGGER jobs_record", `its schema lacks the trigger "jobs_record"`},
		"a view in a table's place": {"CREATE TABLE other AS SELECT * FROM corrections; DROP TABLE corrections; CREATE VIEW corrections AS SELECT * FROM other", `its schema has the view "corrections"`},
		"a table too many":          {"CREATE TABLE songs (name TEXT)", `its schema has the table "songs"`},
		"an index too many":         {"CREATE UNIQUE INDEX one_event ON events (job)", `its schema has the index "one_event"`},
		"a column too many":         {"ALTER TABLE events ADD COLUMN song TEXT DEFAULT (randomblob(1000000))", `its schema has the table "events"`},
		"a check that is weakened": {"PRAGMA writable_schema = 1; UPDATE sqlite_schema SET sql = replace(sql, 'CHECK (steps >= 1)', '') WHERE name = 'jobs'; PRAGMA writable_schema = 0",
			`its schema has the table "jobs"`},
	}
}

// No way in is open for a book with another schema, and none of them changes the book that is there or the other one.
func TestForeignSchema(t *testing.T) {
	ctx := context.Background()
	good := fresh(t)
	newJob(t, good, 3)
	for name, c := range hostile() {
		if !sweep.Name(name, 3) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			path := backedUp(t, good)
			db := raw(t, path)
			sqlExec(t, db, c[0])
			require.NoError(t, db.Close())
			was, err := os.ReadFile(path)
			require.NoError(t, err)
			b := fresh(t)
			newJob(t, b, 4)
			before := exported(t, b)

			_, err = Open(ctx, path)
			assert.ErrorContains(t, err, c[1], "open")
			_, err = OpenExisting(ctx, path)
			assert.ErrorContains(t, err, c[1], "open to read")
			_, err = Restore(ctx, b.path, path, clock(0))
			assert.ErrorContains(t, err, c[1], "restore")
			_, err = Restore(ctx, filepath.Join(t.TempDir(), "new"), path, clock(0))
			assert.ErrorContains(t, err, c[1], "restore where none is")
			_, err = b.Import(ctx, path, clock(0), nil)
			assert.ErrorContains(t, err, c[1], "import")

			is, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, was, is)
			assert.Equal(t, before, exported(t, b))

			// It may be replaced by a copy, and is kept.
			r, err := Restore(ctx, path, backedUp(t, good), clock(0))
			require.NoError(t, err)
			assert.False(t, r.Damaged)
			requireSound(t, open(t, path))
			_, err = Open(ctx, r.Kept)
			assert.ErrorContains(t, err, c[1])

			// Somebody does it while the book is open: the check says so.
			other := raw(t, b.path)
			sqlExec(t, other, c[0])
			require.NoError(t, other.Close())
			checked, err := b.Check(ctx, nil)
			require.NoError(t, err)
			require.NotEmpty(t, checked.Findings)
			assert.Contains(t, strings.Join(checked.Findings, "\n"), c[1], "check")
		})
	}
}

// An older book is held against the schema of its own time before it is brought up to date.
func TestForeignSchemaOfAnOldBook(t *testing.T) {
	path := versionOne(t)
	sqlExec(t, raw(t, path), "CREATE TRIGGER zap AFTER UPDATE ON plans BEGIN DELETE FROM events; END")
	_, err := Open(context.Background(), path)
	assert.ErrorContains(t, err, `its schema has the trigger "zap"`)
	_, err = fresh(t).Import(context.Background(), path, clock(0), nil)
	assert.ErrorContains(t, err, `its schema has the trigger "zap"`)
}

// What SQLite counts for itself belongs to it.
func TestAnalyzedBookIsOurs(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 3)
	require.NoError(t, b.Close())
	db := raw(t, b.path)
	sqlExec(t, db, "ANALYZE")
	require.NoError(t, db.Close())
	b = open(t, b.path)
	do(t, b, 1, 0, event(progress.Done, 1))
	requireSound(t, b)
}

// The sums by which a sound book is known are those of what the scripts make, and a new book is what they make.
func TestOwnSums(t *testing.T) {
	all, err := ownSchemas()
	require.NoError(t, err)
	var is strings.Builder
	for _, schema := range all[1:] {
		fmt.Fprintln(&is, sum(schema))
	}
	scripted := filepath.Join(t.TempDir(), "book")
	db := raw(t, scripted)
	sqlExec(t, db, fmt.Sprintf("PRAGMA journal_mode = WAL; %s; PRAGMA application_id = %d; PRAGMA user_version = %d; UPDATE sources SET epoch = '%s'; VACUUM",
		strings.Join(scripts(), ";"), application, len(scripts()), noEpoch))
	want := dumped(t, db)
	require.NoError(t, db.Close())
	if *update {
		made, err := os.ReadFile(scripted)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile("schema.sums", []byte(is.String()), 0o644))
		require.NoError(t, os.WriteFile("new.db", made, 0o644))
		return
	}
	assert.Equal(t, is.String(), ownSums)
	epochs := map[string]bool{}
	for _, alone := range []bool{false, true} {
		path := filepath.Join(t.TempDir(), "book")
		require.NoError(t, initialise(path, alone))
		db := raw(t, path)
		var epoch, journal, sound string
		require.NoError(t, db.QueryRow("SELECT epoch, journal_mode, integrity_check FROM sources, pragma_journal_mode, pragma_integrity_check").Scan(&epoch, &journal, &sound))
		assert.Equal(t, map[bool]string{false: "wal", true: "delete"}[alone], journal)
		assert.Equal(t, "ok", sound)
		epochs[epoch] = true
		sqlExec(t, db, "UPDATE sources SET epoch = '"+noEpoch+"'")
		assert.Equal(t, want, dumped(t, db))
	}
	assert.Len(t, epochs, 2, "each is another book")
}

// dumped is everything in a file and what the file says of itself.
func dumped(t *testing.T, db *sql.DB) (out []string) {
	t.Helper()
	ctx := context.Background()
	more := func(query string) []string {
		rows, err := trimmed(ctx, db, query)
		require.NoError(t, err)
		out = append(out, rows...)
		return rows
	}
	more("SELECT application_id || ' ' || user_version || ' ' || page_size || ' ' || auto_vacuum || ' ' || encoding FROM pragma_application_id, pragma_user_version, pragma_page_size, pragma_auto_vacuum, pragma_encoding")
	more("SELECT coalesce(sql, name) FROM sqlite_schema ORDER BY name")
	for _, table := range more("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name") {
		columns := more("SELECT group_concat('quote(' || name || ')', ' || '', '' || ') FROM pragma_table_info('" + table + "')")
		more("SELECT " + columns[0] + " FROM " + table)
	}
	return out
}

// Every connection is one that trusts nothing: the schema cannot be written past SQLite.
func TestConnectionsTrustNothing(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	db, _, err := openReadOnly(ctx, b.path)
	require.NoError(t, err)
	defer db.Close()
	for _, q := range []querier{b.db, db} {
		for pragma, want := range map[string]int{"trusted_schema": 0, "cell_size_check": 1} {
			var is int
			require.NoError(t, q.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&is))
			assert.Equal(t, want, is, pragma)
		}
	}
	_, err = b.db.Exec("PRAGMA writable_schema = 1; DELETE FROM sqlite_schema")
	assert.ErrorContains(t, err, "may not be modified")
}
