package book

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

func TestJobComesBackAsItWasWritten(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	d := Draft{Player: "Player one", Racket: "Racket two", File: "/somewhere/job.toml", Source: []byte("frame = \"x\"\r\n\x00"),
		At: clock(0), Plan: invented(3)}
	id, err := b.NewJob(ctx, d)
	require.NoError(t, err)
	told := []progress.Event{
		event(progress.Done, 1),
		{At: clock(-5), Kind: progress.Redo, Step: 2, What: progress.Gripper, Why: "the clock went back"},
		mishap(2, mended(d.Plan, 1, 1)),
		event(progress.Done, 2),
	}
	do(t, b, id, 0, told...)

	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, d.Source, j.Source)
	assert.Equal(t, d.Plan, j.Plan)
	require.Len(t, j.Events, len(told))
	for i, e := range j.Events {
		assert.Equal(t, told[i].At.Format(time.RFC3339Nano), e.At.Format(time.RFC3339Nano))
		e.At = told[i].At
		assert.Equal(t, told[i], e)
	}
	assert.True(t, j.Made.Equal(clock(0)))
	assert.True(t, j.Last.Equal(clock(2)))
	assert.Len(t, j.UID, 32)
	j.Made, j.Last, j.UID = time.Time{}, time.Time{}, ""
	assert.Equal(t, Entry{ID: id, Player: "Player one", Racket: "Racket two", Frame: "Invented sixteen", Technique: "Two pieces",
		Fingerprint: "f003", State: progress.Open, Step: 3, Steps: 4, File: "/somewhere/job.toml"}, j.Entry)
}

func TestNoSuchJob(t *testing.T) {
	b := fresh(t)
	_, err := b.Job(context.Background(), 7)
	assert.ErrorContains(t, err, "read: there is no job 7 in it")
	assert.ErrorContains(t, b.Append(context.Background(), 7, 0, event(progress.Done, 1)), "write to job 7: there is no job 7 in it")
}

func TestNewJobNeedsAPlan(t *testing.T) {
	b := fresh(t)
	for _, p := range []*plan.Plan{nil, {}} {
		_, err := b.NewJob(context.Background(), Draft{Plan: p})
		assert.ErrorContains(t, err, "a job needs a plan with steps")
	}
	bad := invented(1)
	bad.Steps[0].Ops[0].Op = "juggle"
	_, err := b.NewJob(context.Background(), Draft{Plan: bad})
	assert.ErrorContains(t, err, "write the plan")
	_, err = b.NewJob(context.Background(), Draft{Plan: invented(1), At: time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)})
	assert.ErrorContains(t, err, "time of the job")
}

func TestPlansAreKeptOnce(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	newJob(t, b, 3)
	newJob(t, b, 3)
	newJob(t, b, 4)
	assert.Equal(t, 2, plans(t, b))

	other := invented(3) // as another version of the program might plan it
	other.Steps[0].Title = "Mount it"
	id, err := b.NewJob(ctx, Draft{At: clock(0), Plan: other})
	require.NoError(t, err)
	assert.Equal(t, 3, plans(t, b))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, "Mount it", j.Plan.Steps[0].Title)
}

func TestJobsOpenFirst(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	for range 4 {
		newJob(t, b, 2)
	}
	do(t, b, 2, 0, event(progress.Abandon, 1))
	do(t, b, 3, 0, event(progress.Done, 1), event(progress.Done, 2))
	do(t, b, 4, 0, event(progress.Done, 1))

	ids := func(f Filter) (ids []int64) {
		list, err := b.Jobs(ctx, f)
		require.NoError(t, err)
		for _, e := range list {
			ids = append(ids, e.ID)
		}
		return ids
	}
	assert.Equal(t, []int64{4, 1, 3, 2}, ids(Filter{}))
	assert.Equal(t, []int64{4, 1}, ids(Filter{State: progress.Open}))
	assert.Equal(t, []int64{3}, ids(Filter{State: progress.Finished}))
	assert.Equal(t, []int64{2}, ids(Filter{State: progress.Abandoned}))
}

func TestAppendKeepsStateAndStep(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id := newJob(t, b, 2)
	for i, c := range []struct {
		event progress.Event
		state progress.Status
		step  int
	}{
		{event(progress.Done, 1), progress.Open, 2},
		{event(progress.Redo, 1), progress.Open, 1},
		{event(progress.Done, 1), progress.Open, 2},
		{event(progress.Done, 2), progress.Finished, 2},
		{event(progress.Back, 2), progress.Open, 2},
		{event(progress.Abandon, 2), progress.Abandoned, 2},
		{event(progress.Back, 2), progress.Open, 2},
	} {
		do(t, b, id, i, c.event)
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		assert.Equal(t, c.state, j.State)
		assert.Equal(t, c.step, j.Step)
		s, err := progress.Fold(j.Plan, j.Events)
		require.NoError(t, err)
		assert.Equal(t, []any{s.Status(), s.Current()}, []any{j.State, j.Step}, "what is kept is what the events say")
	}
}

func TestAppendRefuses(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id := newJob(t, b, 2)
	do(t, b, id, 0, event(progress.Done, 1))
	assert.ErrorContains(t, b.Append(ctx, id, 1, event(progress.Done, 1)), "done for step 1 does not fit: step 2 is the current one")
	assert.ErrorContains(t, b.Append(ctx, id, 1, progress.Event{Kind: progress.Done, Step: 2, At: time.Date(-1, 1, 1, 0, 0, 0, 0, time.UTC)}),
		"time of the event")
	gone, cancel := context.WithCancel(ctx)
	cancel()
	assert.ErrorIs(t, b.Append(gone, id, 1, event(progress.Done, 2)), context.Canceled)

	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Len(t, j.Events, 1)
	assert.Equal(t, 2, j.Step)
	do(t, b, id, 1, event(progress.Done, 2))
}

func TestAppendByTwoPrograms(t *testing.T) {
	ctx, one := context.Background(), fresh(t)
	two := open(t, one.path)
	id := newJob(t, one, 4)
	do(t, one, id, 0, event(progress.Done, 1))

	// The second program took the job up before that. Its event would fit the state that it knows, but not this one's.
	err := two.Append(ctx, id, 0, event(progress.Done, 1))
	var moved *MovedError
	require.True(t, errors.As(err, &moved), "%v", err)
	assert.Equal(t, MovedError{Job: id, Known: 0, Have: 1}, *moved)
	assert.ErrorContains(t, err, "another program has worked on job 1 (0 events are known here, the book has 1); take the job up again")

	// A note fits anywhere and is refused all the same.
	require.ErrorAs(t, two.Append(ctx, id, 0, event(progress.Note, 2)), &moved)
	do(t, two, id, 1, event(progress.Done, 2))
	require.ErrorAs(t, one.Append(ctx, id, 1, event(progress.Done, 2)), &moved)
}

func TestTextIsKeptAsItIs(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	for _, text := range []string{"", " ", `"]}', \`, "one\ntwo\r\n", "a\x00b", "\xff\xfe", "héé 🎾 \u202e", "'); DROP TABLE events; --", "NULL"} {
		id, err := b.NewJob(ctx, Draft{Player: text, Racket: text, File: text, At: clock(0), Plan: invented(1)})
		require.NoError(t, err)
		require.NoError(t, b.Append(ctx, id, 0, progress.Event{At: clock(1), Kind: progress.Note, Step: 1, What: text, Why: text}))
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		assert.Equal(t, []string{text, text, text, text, text}, []string{j.Player, j.Racket, j.File, j.Events[0].What, j.Events[0].Why})
		assert.Equal(t, []byte{}, j.Source)
	}
	var out bytes.Buffer
	require.NoError(t, b.Export(ctx, &out))
	assert.True(t, json.Valid(out.Bytes()))
}

// A job that is entered with all that happened at it is in the book whole, or not at all.
func TestEnterIsAllOrNothing(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	draft := Draft{Player: "Player one", At: clock(0), Plan: invented(3)}
	events := []progress.Event{event(progress.Done, 1), event(progress.Done, 2), event(progress.Done, 2)}
	_, err := b.Enter(ctx, draft, events)
	require.Error(t, err)
	assert.Empty(t, content(t, b), "the third does not fit")
	events[2].Step = 3
	_, err = b.Enter(ctx, draft, events, Record{UID: "c", Kind: records.KindCut, At: clock(0), Fields: records.Fields{"stock": "nobody has it", "length": "6 m", "for": "offcut"}})
	require.Error(t, err)
	assert.Empty(t, content(t, b))
	id, err := b.Enter(ctx, draft, events)
	require.NoError(t, err)
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, progress.Finished, j.State)
	requireSound(t, b)
}

// A job that is begun is in the book with its first event and what was cut for it, or not at all; what comes after is appended.
func TestBeginIsAllOrNothing(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	draft := Draft{Player: "Player one", At: clock(0), Plan: invented(3)}
	none := func(string) []Record { return nil }
	_, _, err := b.Begin(ctx, draft, event(progress.Done, 2), none)
	require.Error(t, err)
	assert.Empty(t, content(t, b), "the second step is not in hand")
	_, _, err = b.Begin(ctx, draft, event(progress.Done, 1), func(uid string) []Record {
		return []Record{{UID: uid + "-c", Kind: records.KindCut, At: clock(0), Fields: records.Fields{"stock": "nobody has it", "length": "6 m", "for": "offcut"}}}
	})
	require.Error(t, err)
	assert.Empty(t, content(t, b))
	id, uid, err := b.Begin(ctx, draft, event(progress.Done, 1), none)
	require.NoError(t, err)
	do(t, b, id, 1, event(progress.Done, 2))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, uid, j.UID)
	assert.Len(t, j.Events, 2)
	var moved *MovedError
	require.ErrorAs(t, b.Append(ctx, id, 1, event(progress.Done, 2)), &moved)
	requireSound(t, b)
}

// What an import or another bench would refuse for its length is not written here either.
func TestWordsAreBounded(t *testing.T) {
	ctx, b, other := context.Background(), fresh(t), fresh(t)
	long := strings.Repeat("é", 2001)
	id, err := b.NewJob(ctx, Draft{Player: "a" + long, Racket: "b" + long, File: "c" + long, At: clock(0), Plan: invented(2)})
	require.NoError(t, err, "a long name stops nobody")
	e := event(progress.Redo, 1)
	e.What = long
	require.ErrorContains(t, b.Append(ctx, id, 0, e), "too long")
	e = event(progress.Note, 1)
	e.Why = strings.Repeat(long, 600)
	require.ErrorContains(t, b.Append(ctx, id, 0, e), "too long")
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Empty(t, j.Events)
	_, err = other.Import(ctx, takenOut(t, b), clock(9), nil)
	require.NoError(t, err)
}
