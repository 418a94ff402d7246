package shop

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// The wall has each racket once, at its place, and of whoever it is only what the shop wants there.
func TestWall(t *testing.T) {
	ctx, s := context.Background(), newTill(t)
	at := time.Now().Truncate(time.Minute)
	s.Now = func() time.Time { return at }
	_, err := s.Correct(ctx, s.player, book.Change{Fields: records.Fields{"name": "ada zoë Winter (invented)", "contact": "0123 secret", "notes": "secret"}, At: at})
	require.NoError(t, err)
	job := func(promised string) string {
		r, err := s.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg", "promised": promised, "notes": "secret"})
		require.NoError(t, err)
		return r.UID
	}
	moment := func(d time.Duration) string { return at.Add(d).Format(time.RFC3339) }
	ready, work := job(""), job("")
	job(moment(8 * time.Hour))
	job(moment(time.Minute))
	finish(t, s.Shop, ready, at.Add(-2*time.Hour), time.Minute)
	b, err := s.Open(ctx, work)
	require.NoError(t, err)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: at, Kind: progress.Done, Step: 1}))
	require.NoError(t, s.Book.Claim(ctx, book.Claim{Job: work, Number: 1, Bench: "K", At: at}))
	w, err := s.Wall(ctx, Initials)
	require.NoError(t, err)
	require.Len(t, w.Lines, 4)
	for i, place := range []Place{IsReady, InWork, IsLate, Waits} {
		assert.Equal(t, place, w.Lines[i].Place)
		assert.Equal(t, "AZW", w.Lines[i].Name)
		assert.False(t, w.Lines[i].At.IsZero())
	}
	assert.Equal(t, []any{"K", 2}, []any{w.Lines[1].Bench, w.Lines[1].Step})
	demo, err := s.Demo()
	require.NoError(t, err)
	for _, steps := range []int{len(demo.Plan.Steps), 1} { // one that is strung, and one in work
		b, err = s.OpenFile(ctx, DemoFile, demo)
		require.NoError(t, err)
		for n := range steps {
			require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: at, Kind: progress.Done, Step: n + 1}))
		}
		require.True(t, book.Lesson(b.Recorder.Job()))
	}
	lessons, err := s.Wall(ctx, Initials)
	require.NoError(t, err)
	require.Len(t, lessons.Lines, 4, "a lesson is not on the wall")
	for i, l := range lessons.Lines {
		assert.Equal(t, []any{w.Lines[i].Name, w.Lines[i].Place}, []any{l.Name, l.Place})
	}
	text, err := json.Marshal(w)
	require.NoError(t, err)
	assert.False(t, strings.Contains(string(text), "secret") || strings.Contains(string(text), "inter"), "%s", text)
	read, err := ReadWall(string(text), at)
	require.NoError(t, err)
	require.Len(t, read.Lines, 4)
	assert.Equal(t, at, read.Told)
	read, err = ReadWall("", at)
	require.NoError(t, err)
	assert.Zero(t, read.Told, "no bench has written yet")
	w, err = s.Wall(ctx, Number)
	require.NoError(t, err)
	assert.Equal(t, "1", w.Lines[0].Name)
	w, err = s.Wall(ctx, FullName)
	require.NoError(t, err)
	assert.Equal(t, "ada zoë Winter (invented)", w.Lines[0].Name)
	at = at.Add(9 * time.Hour)
	w, err = s.Wall(ctx, Initials)
	require.NoError(t, err)
	assert.NotEqual(t, IsReady, w.Lines[0].Place, "it was fetched long ago")
	_, err = ReadWall("{", at)
	require.Error(t, err)
}
