package book

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// requireAsTold holds that what is kept of a job is what its events say.
func requireAsTold(t require.TestingT, b *Book, id int64) progress.State {
	j, err := b.Job(context.Background(), id)
	require.NoError(t, err)
	s, err := progress.Fold(j.Plan, j.Events)
	require.NoError(t, err)
	require.Equal(t, []any{s.Status(), s.Current(), s.Steps()}, []any{j.State, j.Step, j.Steps})
	return s
}

func TestMishapKeepsItsPlan(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	first := invented(3)
	next := mended(first, 1, 2)
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, next))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, first, j.Plan, "the first one")
	assert.Nil(t, j.Events[0].Plan)
	assert.Equal(t, next, j.Events[1].Plan)
	assert.Equal(t, "misweave", j.Events[1].What)
	assert.Equal(t, next, requireAsTold(t, b, id).Plan())
	assert.Equal(t, []int{2, 5}, []int{j.Step, j.Steps})
	list, err := b.Jobs(ctx, Filter{})
	require.NoError(t, err)
	assert.Equal(t, j.Entry, list[0])

	do(t, b, id, 2, event(progress.Done, 2), event(progress.Done, 3), event(progress.Done, 4), event(progress.Done, 5))
	j, err = b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, progress.Finished, j.State, "after the steps of the plan that is followed")
}

func TestMishapTakenBack(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, mended(invented(3), 1, 4)), event(progress.Done, 2), event(progress.Done, 3))
	do(t, b, id, 4, event(progress.Back, 4), event(progress.Back, 3), event(progress.Back, 2))
	assert.Equal(t, invented(3), requireAsTold(t, b, id).Plan())
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, []int{2, 3}, []int{j.Step, j.Steps})

	do(t, b, id, 7, event(progress.Done, 2), event(progress.Done, 3))
	j, err = b.Job(ctx, id)
	require.NoError(t, err)
	assert.Equal(t, progress.Finished, j.State)
}

func TestMishapPlansAreKeptOnce(t *testing.T) {
	b := fresh(t)
	next := mended(invented(3), 1, 1)
	for range 2 {
		id := newJob(t, b, 3)
		do(t, b, id, 0, event(progress.Done, 1), mishap(2, next), event(progress.Back, 2), mishap(2, next))
	}
	assert.Equal(t, 2, plans(t, b))
	other := mended(invented(3), 1, 1)
	other.Steps[1].Title = "Mend it"
	do(t, b, newJob(t, b, 3), 0, event(progress.Done, 1), mishap(2, other))
	assert.Equal(t, 3, plans(t, b), "as another version of the program might plan it")
	_, err := b.NewJob(context.Background(), Draft{At: clock(0), Plan: next})
	require.NoError(t, err)
	assert.Equal(t, 3, plans(t, b), "a job may begin with it")
}

func TestMishapRefused(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	id := newJob(t, b, 3)
	do(t, b, id, 0, event(progress.Done, 1))
	before := exported(t, b)
	wrong := mended(invented(3), 1, 1)
	wrong.Steps[0].Title = "Another first step"
	bad := mended(invented(3), 1, 1)
	bad.Steps[1].Ops[0].Op = "juggle"
	for _, c := range []struct {
		name  string
		known int
		event progress.Event
		want  string
	}{
		{"no plan", 1, mishap(2, nil), "mishap does not fit: it has no plan with steps"},
		{"another first step", 1, mishap(2, wrong), `step 1 of its plan is not "Weave and pull C1" as it was done`},
		{"the plan of another job", 1, mishap(2, &plan.Plan{Steps: invented(4).Steps[1:]}), `step 1 of its plan is not "Weave and pull C1" as it was done`},
		{"another step", 1, mishap(1, mended(invented(3), 1, 1)), "mishap for step 1 does not fit: step 2 is the current one"},
		{"what cannot be written", 1, mishap(2, bad), `write the plan: `},
		{"another program was faster", 0, mishap(1, mended(invented(3), 0, 1)), "another program has worked on job 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.ErrorContains(t, b.Append(ctx, id, c.known, c.event), c.want)
			assert.Equal(t, before, exported(t, b))
			assert.Equal(t, 1, plans(t, b), "nor is the plan kept")
		})
	}

	// After a mishap its plan is the one that the next is compared with.
	next := mended(invented(3), 1, 1)
	do(t, b, id, 1, mishap(2, next), event(progress.Done, 2))
	assert.ErrorContains(t, b.Append(ctx, id, 3, mishap(3, mended(invented(3), 2, 1))), `step 2 of its plan is not "Weave and pull C1" as it was done`)
	do(t, b, id, 3, mishap(3, mended(next, 2, 1)))
}

// Only a mishap and a redo keep a plan: there is no other event that it would mean anything for.
func TestOtherEventsKeepNoPlan(t *testing.T) {
	b := fresh(t)
	id := newJob(t, b, 3)
	e := event(progress.Done, 1)
	e.Plan = mended(invented(3), 0, 1)
	do(t, b, id, 0, e)
	assert.Equal(t, 1, plans(t, b))
	assert.Equal(t, invented(3), requireAsTold(t, b, id).Plan())
}

// A slip that takes a way back: its plan is followed, of which the first new step has happened, and why it slipped is told
// after the cure and stands with it in the export.
func TestRedoKeepsItsPlan(t *testing.T) {
	b := fresh(t)
	next := mended(invented(3), 1, 2)
	next.Steps[1].Record = true
	id := newJob(t, b, 3)
	redo := event(progress.Redo, 2)
	redo.What, redo.Plan = "A", next
	do(t, b, id, 0, event(progress.Done, 1), redo, event(progress.Done, 3))
	why := event(progress.Why, 4)
	why.Why = "wet"
	assert.ErrorContains(t, b.Append(context.Background(), id, 3, why), "a why names one of the 3 events before it")
	why.Of = 4
	assert.ErrorContains(t, b.Append(context.Background(), id, 3, why), "a why names one of the 3 events before it")
	why.Of = 2
	do(t, b, id, 3, why)
	assert.Equal(t, next, requireAsTold(t, b, id).Plan())
	assert.Contains(t, exported(t, b), `"kind":"redo","step":2,"what":"A","why":"wet"}`)
	assert.Contains(t, exported(t, b), `"kind":"why","step":4,"why":"wet","of":2}`)
	do(t, b, id, 4, event(progress.Done, 4), event(progress.Done, 5))
	assert.Equal(t, progress.Finished, requireAsTold(t, b, id).Status())
}

// A job whose frame cracked is closed, and no strung racket.
func TestCrackedFrame(t *testing.T) {
	b := fresh(t)
	next := &plan.Plan{Plan: "f0c", Steps: append(invented(3).Steps[:1:1], plan.Step{Title: "Stop", Record: true, Ops: []plan.Op{{Op: plan.Fault, Fault: plan.FaultFrame}}},
		plan.Step{Title: "Take it off", Ops: []plan.Op{{Op: plan.Inspect, Text: "the crack"}}})}
	id := newJob(t, b, 3)
	e := mishap(2, next)
	e.What = string(plan.FaultFrame)
	do(t, b, id, 0, event(progress.Done, 1), e, event(progress.Done, 3))
	assert.Equal(t, progress.Abandoned, requireAsTold(t, b, id).Status())
}

func TestAnyEventsKeepTheBook(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	sqlExec(t, b.db, "PRAGMA synchronous = OFF") // nothing is cut off here
	rapid.Check(t, sweep.Some(4, func(t *rapid.T) {
		p := invented(rapid.IntRange(1, 6).Draw(t, "steps"))
		id, err := b.NewJob(ctx, Draft{At: clock(0), Plan: p})
		require.NoError(t, err)
		s, known := progress.Start(p), 0
		for range rapid.IntRange(0, 20).Draw(t, "events") {
			e := event(rapid.SampledFrom([]progress.Kind{progress.Done, progress.Done, progress.Done, progress.Back, progress.Redo, progress.Mishap, progress.Note, progress.Why, progress.Abandon}).Draw(t, "kind"), s.Current())
			switch wayBack := e.Kind == progress.Redo && rapid.Bool().Draw(t, "way back"); {
			case e.Kind == progress.Why:
				e.Of = rapid.IntRange(0, known+1).Draw(t, "of")
			case e.Kind == progress.Redo && s.Last() > 0 && !wayBack:
				e.Step = rapid.IntRange(1, s.Last()).Draw(t, "again")
			case e.Kind == progress.Mishap, wayBack:
				done := rapid.IntRange(0, s.Last()).Draw(t, "done") // fewer than are done: their steps differ
				e.Plan = mended(s.Plan(), done, rapid.IntRange(1, 3).Draw(t, "mending"))
				e.Plan.Steps[done].Record = rapid.Bool().Draw(t, "record")
				if e.What = ""; rapid.IntRange(0, 5).Draw(t, "cracked") == 0 {
					e.What = string(plan.FaultFrame)
					e.Plan.Steps[done].Ops = []plan.Op{{Op: plan.Fault, Fault: plan.FaultFrame}}
				}
			}
			next, wrong := s.Apply(e)
			if wrong == nil {
				wrong = explains(e, known)
			}
			err := b.Append(ctx, id, known, e)
			if wrong != nil {
				require.ErrorContains(t, err, wrong.Error())
				continue
			}
			require.NoError(t, err)
			s, known = next, known+1
			j, err := entries(ctx, b.db, selectEntries+" WHERE jobs.id = ?", id)
			require.NoError(t, err)
			require.Equal(t, []any{s.Status(), s.Current(), s.Steps()}, []any{j[0].State, j[0].Step, j[0].Steps})
		}
		require.Equal(t, s.Plan(), requireAsTold(t, b, id).Plan())
	}))
}

// A plan after a mishap may begin with a step that says what has happened already: the work stands after it.
func TestMishapThatIsRecorded(t *testing.T) {
	b := fresh(t)
	id := newJob(t, b, 3)
	next := mended(invented(3), 1, 2)
	next.Steps[1].Record = true
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, next), event(progress.Resume, 3), event(progress.Done, 3))
	requireAsTold(t, b, id)
	j, err := b.Job(context.Background(), id)
	require.NoError(t, err)
	assert.Equal(t, []int{4, 5}, []int{j.Step, j.Steps})
}

// A why names one of the events before it, the first to the last; nothing else names one. Whoever knows fewer or more events
// than the book has is told so, and nothing is written.
func TestAWhyNamesAnEventBefore(t *testing.T) {
	b := fresh(t)
	job := newJob(t, b, 5)
	do(t, b, job, 0, event(progress.Done, 1), event(progress.Done, 2), event(progress.Done, 3))
	why := func(kind progress.Kind, of int) progress.Event {
		e := event(kind, 4)
		e.Of, e.Why = of, "seen late"
		return e
	}
	for _, e := range []progress.Event{why(progress.Why, 0), why(progress.Why, -1), why(progress.Why, 4), why(progress.Done, 1), why(progress.Done, -1)} {
		assert.ErrorContains(t, b.Append(context.Background(), job, 3, e), "a why names one of the 3 events before it", e)
	}
	do(t, b, job, 3, why(progress.Why, 1), why(progress.Why, 4)) // the last before it is the why itself
	for _, known := range []int{0, 4, 6} {
		var moved *MovedError
		require.ErrorAs(t, b.Append(context.Background(), job, known, event(progress.Done, 4)), &moved)
		assert.Equal(t, [2]int{known, 5}, [2]int{moved.Known, moved.Have})
	}
	do(t, b, job, 5, event(progress.Done, 4))
}
