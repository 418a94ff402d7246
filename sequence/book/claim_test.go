package book

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// taking a job over: what the other bench did before it knew is an attempt beside it, on both, and it learns that at its next key.
func TestTakeAJobOver(t *testing.T) {
	ctx := context.Background()
	k, l := ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L")
	id := newJob(t, k, 5)
	j, err := k.Job(ctx, id)
	require.NoError(t, err)
	require.NoError(t, k.Claim(ctx, Claim{j.UID, 1, "K", clock(1)}))
	do(t, k, id, 0, event(progress.Done, 1), event(progress.Done, 2))
	tell(t, k, l)
	require.NoError(t, l.Claim(ctx, Claim{j.UID, 2, "L", clock(5)}))
	do(t, k, id, 2, event(progress.Done, 3), event(progress.Done, 4)) // K is away
	tell(t, k, l)
	theirs, err := l.Lookup(ctx, "job", j.UID)
	require.NoError(t, err)
	there, err := l.Job(ctx, theirs.ID)
	require.NoError(t, err)
	assert.Len(t, there.Events, 2, "what came late is not mixed in")
	do(t, l, theirs.ID, 2, event(progress.Back, 3), event(progress.Done, 2))

	tell(t, l, k)
	var over *TakenError
	err = k.Append(ctx, id, 4, event(progress.Done, 5))
	require.Error(t, err)
	moved := (*MovedError)(nil)
	require.ErrorAs(t, err, &moved, "it has other events, though as many as before")
	_, err = k.Job(ctx, id)
	require.NoError(t, err)
	err = k.Append(ctx, id, 4, event(progress.Done, 3))
	require.ErrorAs(t, err, &over)
	assert.Equal(t, "L", over.Bench)
	assert.True(t, over.At.Equal(clock(5)))
	assert.Contains(t, over.Error(), "bench L took job 1 over at 13:02; take it over again")

	assert.Equal(t, content(t, l), content(t, k))
	for _, b := range []*Book{k, l} {
		requireSound(t, b)
		all, err := b.Jobs(ctx, Filter{})
		require.NoError(t, err)
		require.Len(t, all, 2)
		own, late := all[1], all[0]
		assert.Equal(t, j.UID, own.UID)
		assert.Equal(t, 3, own.Step)
		assert.Equal(t, 5, late.Step, "nothing is lost")
		claims, err := b.Claims(ctx)
		require.NoError(t, err)
		assert.Equal(t, []any{2, "L"}, []any{claims[j.UID].Number, claims[j.UID].Bench})
	}

	// Taken back, it goes on where it is.
	require.NoError(t, k.Claim(ctx, Claim{j.UID, 3, "K", clock(9)}))
	_, err = k.Job(ctx, id)
	require.NoError(t, err)
	do(t, k, id, 4, event(progress.Done, 3))
	tell(t, k, l)
	assert.Equal(t, content(t, l), content(t, k))
}

// An attempt that a bench goes on with under a later claim is the job's own at once, on that bench as on any that hears of it.
func TestGoOnWithAnAttempt(t *testing.T) {
	ctx := context.Background()
	k, l := ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L")
	id := newJob(t, k, 5)
	do(t, k, id, 0, event(progress.Done, 1))
	tell(t, k, l)
	j, err := k.Job(ctx, id)
	require.NoError(t, err)
	theirs, err := l.Lookup(ctx, "job", j.UID)
	require.NoError(t, err)
	do(t, k, id, 1, event(progress.Done, 2))
	later := event(progress.Note, 2)
	later.At = clock(9)
	do(t, l, theirs.ID, 1, later)
	tell(t, l, k)
	all, err := k.Jobs(ctx, Filter{})
	require.NoError(t, err)
	require.Len(t, all, 2)
	beside := all[0]
	require.NotEqual(t, j.UID, beside.UID)
	require.NoError(t, k.Claim(ctx, Claim{j.UID, 1, "K", clock(9)}))
	_, err = k.Job(ctx, beside.ID)
	require.NoError(t, err)
	do(t, k, beside.ID, 2, event(progress.Done, 2))
	tell(t, k, l)
	assert.Equal(t, content(t, k), content(t, l))
	own, err := k.Job(ctx, id)
	require.NoError(t, err)
	require.Len(t, own.Events, 3)
	assert.Equal(t, progress.Note, own.Events[1].Kind, "the one that was gone on with")
	requireSound(t, k)
	requireSound(t, l)
}

// A clock that is far ahead is not followed: what is said later counts all the same.
func TestAClockFarAhead(t *testing.T) {
	ctx := context.Background()
	k, l := ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L")
	p := added(t, k, "player", map[string]string{"name": "Somebody", "plays": "1"})
	tell(t, k, l)
	say := func(b *Book, plays string, at time.Time) {
		_, err := b.Correct(ctx, p.UID, Change{Fields: map[string]string{"plays": plays}, At: at})
		require.NoError(t, err)
	}
	say(l, "2", clock(0).AddDate(3, 0, 0))
	tell(t, l, k)
	say(k, "3", clock(10))
	tell(t, k, l)
	for _, b := range []*Book{k, l} {
		r, err := b.Record(ctx, p.UID)
		require.NoError(t, err)
		assert.Equal(t, "3", r.Fields["plays"])
		list, err := b.Disputes(ctx)
		require.NoError(t, err)
		assert.Empty(t, list)
		requireSound(t, b)
	}
	var at string
	require.NoError(t, k.db.QueryRow("SELECT clock FROM self").Scan(&at))
	assert.Equal(t, stamp(clock(10)), at)
	say(l, "4", clock(0)) // its clock was set right, and still nothing is said before what was said
	tell(t, l, k)
	r, err := k.Record(ctx, p.UID)
	require.NoError(t, err)
	assert.Equal(t, "4", r.Fields["plays"])
}
