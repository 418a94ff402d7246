package book

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

func TestMigrateKeepsWhatIsThere(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 2)
	now := len(scripts())
	more := append(scripts(), "ALTER TABLE jobs ADD COLUMN of_tomorrow TEXT NOT NULL DEFAULT ''", "CREATE TABLE reels (id INTEGER PRIMARY KEY) STRICT")
	require.NoError(t, b.migrate(context.Background(), now, more))
	m, err := readMark(context.Background(), b.db)
	require.NoError(t, err)
	assert.Equal(t, now+2, m.version)
	j, err := b.Job(context.Background(), 1)
	require.NoError(t, err)
	assert.Equal(t, "Player one", j.Player)
	require.NoError(t, b.migrate(context.Background(), now, more), "another program was faster")
}

// A program that has the book open while a newer one brings it up to date writes nothing more, as that would lack what it does not know,
// also in the log; what it reads it reads on.
func TestNothingIsWrittenToANewerBook(t *testing.T) {
	ctx, old := context.Background(), fresh(t)
	id := newJob(t, old, 3)
	require.NoError(t, old.Append(ctx, id, 0, event(progress.Done, 1)))
	newer := open(t, old.path)
	require.NoError(t, newer.migrate(ctx, len(scripts()), append(scripts(), "ALTER TABLE events ADD COLUMN of_tomorrow INTEGER NOT NULL DEFAULT 0")))
	sqlExec(t, newer.db, "UPDATE events SET of_tomorrow = 5")
	const why = "written by a newer version of this program"
	require.ErrorContains(t, old.Append(ctx, id, 1, event(progress.Done, 2)), why)
	require.ErrorContains(t, old.Seal(ctx), why)
	_, err := old.Take(ctx, []Row{{Bench: "K", Epoch: "e", Seq: 1, Kind: rowVoid}}, clock(9))
	require.ErrorContains(t, err, why)
	_, err = old.Import(ctx, takenOut(t, newer), clock(9), nil)
	require.ErrorContains(t, err, why)
	j, err := old.Job(ctx, id)
	require.NoError(t, err)
	assert.Len(t, j.Events, 1)
	require.NoError(t, old.Close())
	var sealed int
	require.NoError(t, newer.db.QueryRow("SELECT count(*) FROM log WHERE hash IS NOT NULL").Scan(&sealed))
	assert.Zero(t, sealed)
}

func TestMigrateAllOrNothing(t *testing.T) {
	b := fresh(t)
	now := len(scripts())
	more := append(scripts(), "CREATE TABLE reels (id INTEGER PRIMARY KEY) STRICT", "CREATE TABLE lots (id INTEGER PRIMARY KEY) STRICT; CREATE TABLE jobs (id)")
	require.ErrorContains(t, b.migrate(context.Background(), now, more), "table jobs already exists")
	m, err := readMark(context.Background(), b.db)
	require.NoError(t, err)
	assert.Equal(t, now+1, m.version, "the script that worked counts, the one that failed does not")
	_, err = b.db.Exec("SELECT * FROM lots")
	assert.ErrorContains(t, err, "no such table: lots")
}

// versionOne is a book that the first version of the program left.
func versionOne(t *testing.T) string {
	t.Helper()
	script, err := os.ReadFile(filepath.Join("testdata", "version1.sql"))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "book")
	db := raw(t, path)
	sqlExec(t, db, string(script))
	require.NoError(t, db.Close())
	return path
}

func TestOpenABookOfVersionOne(t *testing.T) {
	ctx, path := context.Background(), versionOne(t)
	b := open(t, path)
	assert.Equal(t, `[
{"id":1,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f002","state":"done","step":2,"steps":2,"events":[{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"done","step":1},{"at":"2031-05-04T13:02:03.123456789-03:30","kind":"done","step":2}]},
{"id":2,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f003","state":"open","step":1,"steps":3,"events":[{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"done","step":1},{"at":"2031-05-04T13:02:02.123456789-03:30","kind":"redo","step":1,"what":"A","why":"said 'slipped'"}]},
{"id":3,"player":"Player one","racket":"Racket two","frame":"Invented sixteen","technique":"Two pieces","plan":"f002","state":"open","step":1,"steps":2,"events":[]}
]
`, exported(t, b), "what that version would have exported")

	do(t, b, 2, 2, event(progress.Done, 1))
	next := mended(invented(3), 1, 2)
	do(t, b, 2, 3, mishap(2, next))
	j, err := b.Job(ctx, 2)
	require.NoError(t, err)
	assert.Equal(t, invented(3).Steps, j.Plan.Steps)
	assert.Equal(t, next, j.Events[3].Plan)
	assert.Equal(t, 5, j.Steps)
	var unknown int
	require.NoError(t, b.db.QueryRow("SELECT count(*) FROM plans WHERE length <> json_array_length(CAST(body AS TEXT), '$.steps')").Scan(&unknown))
	assert.Zero(t, unknown, "every plan's length is known")
}

// A program of the first version that had the book open meanwhile knows nothing of lengths.
func TestWorkOnAJobOfAnOlderProgram(t *testing.T) {
	b := fresh(t)
	id := newJob(t, b, 3)
	sqlExec(t, b.db, "UPDATE plans SET length = 0")
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, mended(invented(3), 1, 1)), event(progress.Done, 2), event(progress.Back, 3), event(progress.Back, 2))
	assert.ErrorContains(t, b.Append(context.Background(), id, 5, event(progress.Done, 3)), "done for step 3 does not fit: step 2 is the current one")
	j, err := b.Job(context.Background(), id)
	require.NoError(t, err)
	assert.Equal(t, []int{2, 3}, []int{j.Step, j.Steps})
}

// A record that is damaged keeps no book shut: it is brought up to date all the same, and the check tells of the record.
func TestADamagedRecordOfAnOlderBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	db := raw(t, path)
	for _, script := range scripts()[:3] {
		sqlExec(t, db, script)
	}
	sqlExec(t, db, `INSERT INTO records VALUES ('u1', 'job', 1, '', '2031-05-04T13:02:01.000000000Z', '', '{"machine": ', 'kept', 0)`)
	sqlExec(t, db, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 3", application))
	require.NoError(t, db.Close())
	b := open(t, path)
	r, err := b.Check(context.Background(), nil)
	require.NoError(t, err)
	require.Len(t, r.Findings, 1)
	assert.Contains(t, r.Findings[0], "job 1")
	list, err := b.Series(context.Background(), records.Job{Machine: "u2"}, 0)
	require.NoError(t, err)
	assert.Empty(t, list)
}
