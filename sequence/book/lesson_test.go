package book

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// A lesson is in the bench's own book with all that comes of it, and in no log: not when it is worked on, corrected, claimed, imported
// or forgotten.
func TestLessonIsOfTheBench(t *testing.T) {
	ctx, b := context.Background(), ofBench(t, fresh(t), "K")
	draft := Draft{Player: "Demo player (invented)", Racket: "first racket", Stringer: "Cy (invented)", File: "demo", At: clock(0), Plan: invented(4), Lesson: true}
	id, err := b.NewJob(ctx, draft)
	require.NoError(t, err)
	do(t, b, id, 0, event(progress.Done, 1), mishap(2, mended(draft.Plan, 1, 2)), event(progress.Done, 2))
	j, err := b.Job(ctx, id)
	require.NoError(t, err)
	require.True(t, Lesson(j.UID))
	_, err = b.Add(ctx, records.KindReading, records.Fields{"job": j.UID, "value": "37 kg", "with": "tap"}, clock(4))
	require.NoError(t, err)
	corrected(t, b, Record{UID: j.UID}, records.Fields{"notes": "done again"})
	require.NoError(t, b.Claim(ctx, Claim{Job: j.UID, Number: 1, Bench: "K", At: clock(5)}))
	requireSound(t, b)

	kinds := func(b *Book) (list []string) {
		for _, r := range logOf(t, b, nil) {
			list = append(list, r.Kind)
			assert.NotContains(t, string(r.Body), "Demo player")
			assert.NotContains(t, string(r.Body), j.UID)
		}
		return list
	}
	assert.Equal(t, []string{rowRecord, rowPlan, rowPlan}, kinds(b), "the stringer and plans, which another job may share")
	other := ofBench(t, fresh(t), "L")
	assert.Equal(t, TakeResult{Rows: 3}, tell(t, b, other))
	all, err := other.Jobs(ctx, Filter{})
	require.NoError(t, err)
	assert.Empty(t, all)

	whole := filepath.Join(t.TempDir(), "whole")
	require.NoError(t, b.ExportAll(ctx, whole, nil))
	_, err = other.Import(ctx, whole, clock(9), nil)
	require.NoError(t, err)
	assert.Equal(t, content(t, b), content(t, other), "a file takes it along")
	assert.Len(t, kinds(other), 3, "and it stays out of the log there")

	card, err := b.Record(ctx, j.UID)
	require.NoError(t, err)
	_, err = b.Forget(ctx, card.Fields["player"])
	require.NoError(t, err)
	assert.Len(t, kinds(b), 3)
	requireSound(t, b)

	// What has the same plan and is no lesson goes out, with nothing of it missing there.
	draft.Lesson, draft.Player, draft.File = false, "Ada (invented)", ""
	_, err = b.NewJob(ctx, draft)
	require.NoError(t, err)
	assert.Zero(t, tell(t, b, ofBench(t, fresh(t), "M")).Waiting)
}
