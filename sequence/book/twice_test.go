package book

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// Three benches go on with a job, none knowing of another; two of them share a beginning. Each way is there once in every book, under
// the name of the first event that is only its own.
func TestThreeWaysOn(t *testing.T) {
	ctx := context.Background()
	k, l, m := ofBench(t, fresh(t), "K"), ofBench(t, fresh(t), "L"), ofBench(t, fresh(t), "M")
	waits := added(t, k, records.KindJob, records.Fields{"player": added(t, k, records.KindPlayer, records.Fields{"name": "Ada (invented)"}).UID, "text": "x"})
	id, err := k.NewJob(ctx, Draft{UID: waits.UID, Source: []byte("x"), At: clock(0), Plan: invented(6)})
	require.NoError(t, err)
	j, err := k.Job(ctx, id)
	require.NoError(t, err)
	note := func(at int) progress.Event {
		e := event(progress.Note, 1)
		e.At = clock(at)
		return e
	}
	tell(t, k, l)
	do(t, l, 1, 0, note(2))
	tell(t, l, m)
	do(t, l, 1, 1, note(3))
	do(t, m, 1, 1, note(4))
	do(t, k, id, 0, note(5))
	for range 2 {
		for _, from := range []*Book{k, l, m} {
			for _, to := range []*Book{k, l, m} {
				if from != to {
					tell(t, from, to)
				}
			}
		}
	}
	corrected(t, k, waits, records.Fields{"notes": "invented"})
	tell(t, k, l)
	tell(t, k, m)
	for _, b := range []*Book{k, l, m} {
		list, err := b.Jobs(ctx, Filter{})
		require.NoError(t, err)
		require.Len(t, list, 3)
		seen := map[string]bool{}
		for _, e := range list {
			seen[e.UID] = true
			r, err := b.Record(ctx, e.UID)
			require.NoError(t, err)
			assert.Equal(t, "invented", r.Fields["notes"])
			assert.Equal(t, j.UID, Root(e.UID))
			if _, own, is := strings.Cut(e.UID, "+"); is {
				assert.Len(t, own, 16)
			}
		}
		assert.Len(t, seen, 3)
		assert.Equal(t, content(t, k), content(t, b))
		requireSound(t, b)
	}
	// What another program wrote meanwhile is not what is remembered of a job.
	other := open(t, k.path)
	do(t, l, 1, 2, note(6))
	tell(t, l, other)
	do(t, l, 1, 3, note(7))
	tell(t, l, k)
	assert.Equal(t, content(t, l), content(t, k))
	requireSound(t, k)
}

// A record that another book removed is told of only where somebody changed it here, and once.
func TestRemovedElsewhere(t *testing.T) {
	ctx, k, l := context.Background(), fresh(t), fresh(t)
	ada := added(t, k, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	bo := added(t, k, records.KindPlayer, records.Fields{"name": "Bo (invented)"})
	n := fresh(t)
	takeIn(t, l, takenOut(t, k))
	takeIn(t, n, takenOut(t, k))
	require.NoError(t, l.Remove(ctx, ada.UID))
	require.NoError(t, l.Remove(ctx, bo.UID))
	corrected(t, k, bo, records.Fields{"notes": "invented"})
	file := takenOut(t, l)
	m := takeIn(t, k, file)
	if assert.Len(t, m.Conflicts, 1) {
		assert.Equal(t, Conflict{records.KindPlayer, bo.UID, bo.ID, wasRemoved, records.Fields{keyState: string(Removed)}, records.Fields{"notes": "invented"}}, m.Conflicts[0])
	}
	assert.Empty(t, takeIn(t, k, file).Conflicts)
	assert.Empty(t, takeIn(t, fresh(t), takenOut(t, k)).Conflicts, "nothing was here before")
	assert.Len(t, takeIn(t, n, takenOut(t, k)).Conflicts, 1, "both come to one who knew her as she was")

	cy := added(t, k, records.KindPlayer, records.Fields{"name": "Cy (invented)"})
	takeIn(t, l, takenOut(t, k))
	_, err := l.Forget(ctx, cy.UID)
	require.NoError(t, err)
	m = takeIn(t, k, takenOut(t, l))
	assert.Equal(t, 3, m.Records.Same)
	assert.Len(t, m.Forgotten, 1)
	all, err := correctionsOf(ctx, k.db, ada.UID, bo.UID)
	require.NoError(t, err)
	assert.Len(t, all, 1, "of who was corrected")
}

// A plan that has no digest yet gets one when somebody asks for it by that.
func TestPlanByDigest(t *testing.T) {
	b := fresh(t)
	newJob(t, b, 3)
	within(t, b, func(m *merger) {
		digest, err := (&encoder{ctx: m.ctx, q: m.q}).digest(1)
		require.NoError(t, err)
		require.NoError(t, m.q.exec(m.ctx, "UPDATE plans SET digest = NULL"))
		_, err = m.planOf("00")
		assert.ErrorContains(t, err, "no plan of the digest")
		require.NoError(t, m.q.exec(m.ctx, "UPDATE plans SET digest = NULL"))
		id, err := m.planOf(digest)
		require.NoError(t, err)
		assert.EqualValues(t, 1, id)
		_, err = m.planOf("x")
		assert.Error(t, err)
	})
}

// Where a job stands is found out by how long its plans are; whole ones are read where an older program left that away, or where one
// plan was followed by another.
func TestWholePlansAreReadWhereNeeded(t *testing.T) {
	b := fresh(t)
	short, long := newJob(t, b, 1), newJob(t, b, 4)
	do(t, b, long, 0, event(progress.Done, 1))
	for _, c := range []struct {
		job   int64
		set   string
		steps int
		whole bool
	}{
		{short, "length", 1, false},
		{long, "length", 4, false},
		{short, "0", 1, true},
		{long, "0", 4, true},
	} {
		within(t, b, func(m *merger) {
			require.NoError(t, m.q.exec(m.ctx, "UPDATE plans SET length = "+c.set))
			l := &line{id: c.job}
			require.NoError(t, m.q.QueryRowContext(m.ctx, "SELECT plan FROM jobs WHERE id = ?", c.job).Scan(&l.plan))
			require.NoError(t, m.load(l))
			require.NoError(t, m.fold(l, false))
			assert.True(t, l.folded)
			assert.Equal(t, c.steps, l.state.Steps())
			assert.Equal(t, c.whole, len(l.state.Plan().Steps[0].Ops) > 0, c)
		})
	}
	do(t, b, long, 1, mishap(2, mended(invented(4), 1, 1)))
	within(t, b, func(m *merger) {
		require.NoError(t, m.q.exec(m.ctx, "UPDATE plans SET length = 4 WHERE id = 2"))
		l := &line{id: long, plan: 2}
		require.NoError(t, m.load(l))
		require.NoError(t, m.fold(l, false))
		assert.Equal(t, 5, l.state.Steps())
		assert.NotEmpty(t, l.state.Plan().Steps[0].Ops)
	})
}

// An open book is held against what somebody would find who opens its file now: nothing of it may be missing there.
func TestCompare(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1))
	newJob(t, b, 2)
	path := b.at.now()
	assert.Empty(t, b.compare(ctx))
	for wrong, why := range map[string]string{
		"":                   "",
		"DELETE FROM events": "written over",
		"DELETE FROM records WHERE kind = 'racket'": "written over",
		"DELETE FROM records":                       "written over",
		"DELETE FROM jobs WHERE id = 2":             "written over",
		"UPDATE sources SET epoch = 'x'":            "written over",
		"DELETE FROM plans WHERE id = 2":            "cut off or written over",
	} {
		copied := filepath.Join(t.TempDir(), "copy")
		require.NoError(t, b.Backup(ctx, copied, nil))
		db := raw(t, copied)
		sqlExec(t, db, wrong)
		require.NoError(t, db.Close())
		b.at.lead(copied)
		if got := b.compare(ctx); why == "" {
			assert.Empty(t, got)
		} else {
			assert.Contains(t, got, why, wrong)
		}
		b.at.lead(path)
	}
	ended, cancel := context.WithCancel(ctx)
	cancel()
	assert.Empty(t, b.compare(ended), "who leaves finds out the next time")
}

// What is private of a job goes, whether people wrote it down or its file has it; a room is told of all of it once.
func TestForgetAJobOrItsFile(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	ada := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	plainText := sequence.Anonymous([]byte("frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n"))
	require.Equal(t, string(plainText), string(sequence.Anonymous(plainText)), "nothing in it is private")
	draft := Draft{At: clock(0), Plan: invented(2), Job: records.Job{Player: ada.UID}}
	draft.Player, draft.Racket, draft.File, draft.Source = "Ada", "Ada's", "ada.toml", plainText
	_, err := b.NewJob(ctx, draft)
	require.NoError(t, err)
	draft.Player, draft.Racket, draft.File, draft.Source = "", "", "", []byte("player = \"Ada\"\nframe = \"invented\"\n")
	_, err = b.NewJob(ctx, draft)
	require.NoError(t, err)
	require.NoError(t, b.Seal(ctx))
	_, err = b.Forget(ctx, ada.UID)
	require.NoError(t, err)
	for id := range int64(2) {
		j, err := b.Job(ctx, id+1)
		require.NoError(t, err)
		assert.NotContains(t, j.Player+j.Racket+j.File+string(j.Source), "Ada", "job %d", id+1)
		assert.NotContains(t, j.File, "ada")
	}
	list, err := b.Emptied(ctx)
	require.NoError(t, err)
	require.Greater(t, len(list), 1)
	require.NoError(t, b.ConfirmEmptied(ctx, list))
	list, err = b.Emptied(ctx)
	require.NoError(t, err)
	assert.Empty(t, list)
}

// A way back may follow the plan that another job began with.
func TestAWayBackByAnothersPlan(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	back := mended(invented(3), 1, 1)
	_, err := b.NewJob(ctx, Draft{Source: []byte("x"), At: clock(0), Plan: back})
	require.NoError(t, err)
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, back), event(progress.Done, 2))
	require.Equal(t, 2, plans(t, b))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	require.NotNil(t, j.Events[1].Plan)
	assert.Len(t, j.Events[1].Plan.Steps, 4)
	l := ofBench(t, fresh(t), "L")
	tell(t, ofBench(t, b, "K"), l)
	assert.Equal(t, content(t, b), content(t, l))
	within(t, b, func(m *merger) {
		l := &line{id: id, plan: 2}
		require.NoError(t, m.load(l))
		require.NoError(t, m.fold(l, false))
		assert.Equal(t, 4, l.state.Steps())
	})
}

// One job can be gone on with where the book is lost, and the whole book where it is only out of sight.
func TestSalvage(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	now := func() time.Time { return clock(5) }
	lost := &LostError{Book: b.path, Why: "it was deleted"}
	draft := Draft{UID: "kept", Source: []byte("x"), At: clock(0), Plan: invented(3)}
	_, err := b.Salvage(ctx, lost, draft, nil)
	assert.Same(t, lost, err, "no folder is named")
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	b.RescueTo(file, now)
	_, err = b.Salvage(ctx, lost, draft, nil)
	assert.ErrorAs(t, err, &lost)
	assert.Error(t, lost.Err)
	assert.Nil(t, b.Rescued())

	newJob(t, b, 2)
	before, _, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	b.RescueTo(t.TempDir(), now)
	require.NoError(t, b.rescue(ctx, "it went out of sight"))
	assert.False(t, b.Rescued().JobOnly)
	assert.Equal(t, b.Rescued().File, b.trace.path)
	epoch, _, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	assert.NotEqual(t, before, epoch, "the book may turn up again")
	_, err = b.Job(ctx, 1)
	require.NoError(t, err)

	id, err := b.Salvage(ctx, lost, draft, []progress.Event{event(progress.Done, 1), event(progress.Done, 2)})
	require.NoError(t, err)
	assert.True(t, b.Rescued().JobOnly)
	assert.Equal(t, b.Rescued().File, b.trace.path)
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, "kept", j.UID)
	assert.Len(t, j.Events, 2)
}

// What an older book kept as corrections is in the log after it was brought up to date.
func TestCorrectionsBecomeChanges(t *testing.T) {
	b := fresh(t)
	ada := added(t, b, records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	within(t, b, func(m *merger) {
		for _, query := range []string{
			"DELETE FROM changes",
			`INSERT INTO corrections VALUES ('` + ada.UID + `', 1, '2031-06-01T00:00:00Z', 'misheard', '{"name":"Adda (invented)"}')`,
		} {
			require.NoError(t, m.q.exec(m.ctx, query))
		}
		require.NoError(t, fillChanges(m.ctx, m.tx, records.KindPlayer))
		all, err := correctionsOf(m.ctx, m.q, ada.UID)
		require.NoError(t, err)
		if assert.Len(t, all[ada.UID], 1) {
			c := all[ada.UID][0]
			assert.Equal(t, "misheard", c.Why)
			assert.Equal(t, "Adda (invented)", c.Before["name"])
			assert.True(t, c.At.Equal(time.Date(2031, 6, 1, 0, 0, 0, 0, time.UTC)))
		}
		require.NoError(t, change{Stamp: stamp(clock(50)) + " x"}.follow(m.ctx, m.tx, clock(0)))
		var at string
		require.NoError(t, m.q.QueryRowContext(m.ctx, "SELECT clock FROM self").Scan(&at))
		assert.Equal(t, stamp(clock(50)), at, "no later change of ours is older")
		none := newEncoder(m.ctx, m.tx)
		rows, err := m.tx.Query("SELECT 0, '2031-06-01T00:00:00Z', 'note', 1, '', '', 0, NULL, 0, ''")
		require.NoError(t, err)
		defer rows.Close()
		require.True(t, rows.Next())
		e, err := none.scanEvent(rows, 1)
		require.NoError(t, err)
		assert.Empty(t, e.Prev, "a number that no event has")
	})
}

// Nothing is tried again where nothing came, and what was said in two books of one record is in dispute wherever both come in at once.
func TestNothingCame(t *testing.T) {
	ctx, b := context.Background(), ofBench(t, fresh(t), "L")
	took, err := b.Take(ctx, rowsOf("cafe", [2]string{"song", `{"text":"la"}`}), clock(100))
	require.NoError(t, err)
	require.Equal(t, TakeResult{Rows: 1, Waiting: 1}, took)
	for range 2 {
		took, err = b.Take(ctx, nil, clock(101))
		require.NoError(t, err)
		assert.Equal(t, TakeResult{}, took)
	}
	k, l := fresh(t), fresh(t)
	bo := added(t, k, records.KindPlayer, records.Fields{"name": "Bo (invented)"})
	takeIn(t, l, takenOut(t, k))
	corrected(t, k, bo, records.Fields{"notes": "of one"})
	corrected(t, l, bo, records.Fields{"notes": "of two"})
	takeIn(t, k, takenOut(t, l))
	both := fresh(t)
	takeIn(t, both, takenOut(t, k))
	list, err := both.Disputes(ctx)
	require.NoError(t, err)
	assert.Len(t, list, 1)
}
