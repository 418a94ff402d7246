package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// fails holds that an append and a new job fail with the advice, that nothing of them is kept, and that both work once
// the cause is gone.
func fails(t *testing.T, b *Book, advice string, cause, mend func()) {
	t.Helper()
	ctx := context.Background()
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1))
	before, kept := exported(t, b), plans(t, b)

	cause()
	e := event(progress.Done, 2)
	e.Why = string(make([]byte, 100_000)) // more than any page has room for
	err := b.Append(ctx, id, 1, e)
	require.ErrorContains(t, err, advice)
	assert.ErrorContains(t, err, "book "+b.path+": write to job 1: ")
	_, err = b.NewJob(ctx, Draft{At: clock(0), Plan: invented(300)})
	require.ErrorContains(t, err, advice)
	require.ErrorContains(t, b.Append(ctx, id, 1, mishap(2, mended(invented(3), 1, 300))), advice)
	assert.Equal(t, before, exported(t, b), "the book is as it was")
	assert.Equal(t, kept, plans(t, b))

	mend()
	do(t, b, id, 1, event(progress.Done, 2), mishap(3, mended(invented(3), 2, 300)), event(progress.Done, 3))
	newJob(t, b, 4)
	assert.NotEqual(t, before, exported(t, b))
	var check string
	require.NoError(t, b.db.QueryRow("PRAGMA integrity_check").Scan(&check))
	assert.Equal(t, "ok", check)
}

func TestNoRoomInTheFile(t *testing.T) {
	b := fresh(t)
	fails(t, b, "the disk is full; nothing was changed, free some space and try again",
		func() { sqlExec(t, b.db, "PRAGMA max_page_count = 1") }, // SQLite takes the present size for it
		func() { sqlExec(t, b.db, "PRAGMA max_page_count = 100000") })
}

func TestWriteProtected(t *testing.T) {
	b := fresh(t)
	fails(t, b, "the file or its folder is write-protected; nothing was changed",
		func() { sqlExec(t, b.db, "PRAGMA query_only = 1") },
		func() { sqlExec(t, b.db, "PRAGMA query_only = 0") })
}

func TestLocked(t *testing.T) {
	b := fresh(t)
	sqlExec(t, b.db, "PRAGMA busy_timeout = 20")
	other := raw(t, b.path)
	other.SetMaxOpenConns(1)
	fails(t, b, "another program keeps the book locked; nothing was changed, close it there and try again",
		func() { sqlExec(t, other, "BEGIN IMMEDIATE") },
		func() { sqlExec(t, other, "ROLLBACK") })
}
