package shop

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// A racket's page is its history as a table and how it went; a machine's its offset, its gauge checks and its readings.
func TestPagesAtAGlance(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	for i, tension := range []string{"24 kg", "23 kg", "22.5 kg"} {
		r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": tension, "machine": c.window, "reason": "an invented one"})
		require.NoError(t, err)
		finish(t, c.Shop, r.UID, time.Now().Add(-time.Hour), time.Second)
		_, err = c.Add(ctx, records.KindReading, records.Fields{"job": r.UID, "value": fmt.Sprintf("%d Hz", 620-10*i), "because": "an invented one"}, time.Now())
		require.NoError(t, err)
	}
	p, err := c.Page(ctx, c.racket)
	require.NoError(t, err)
	require.Len(t, p.Below, 2)
	assert.Equal(t, []string{"day", "tension", "reading", "word", "state", "string", "by", "on"}, p.Below[0].Head)
	require.Len(t, p.Below[0].Lines, 3)
	cells := p.Below[0].Lines[0].Cells
	assert.Equal(t, "22.5 kg", cells[1], "the newest first")
	assert.Regexp(t, `^600 Hz, \d+ %$`, cells[2])
	assert.Equal(t, []string{"Cy (invented)", "by the window"}, cells[6:])
	assert.Equal(t, "mains █▅▄  24 to 22.5 kg", p.Below[1].Lines[0].Text, "the bars span a tenth of 24 kg: 23 kg lies at 1.4/2.4 of it, 22.5 kg at 0.9/2.4")

	_, err = c.Correct(ctx, c.window, book.Change{Fields: records.Fields{"accepted": "Cy"}, At: time.Now()})
	require.NoError(t, err)
	p, err = c.Page(ctx, c.window)
	require.NoError(t, err)
	var titles []string
	for _, s := range p.Below {
		titles = append(titles, s.Title)
	}
	assert.Equal(t, []string{"offset", "jobs, the newest", "gauge checks", "readings, of what is computed"}, titles)
	assert.Equal(t, "0.3 kg is added to what is ordered, accepted by Cy", p.Below[0].Lines[0].Text)
	assert.Equal(t, "the gauge read −0.30 kg from what was set at the last check, −0.30 kg on average of the last 1", p.Below[0].Lines[1].Text)
	assert.Regexp(t, `^with tap [▁-█]{3}  [\d.]+ to [\d.]+ %$`, p.Below[3].Lines[0].Text)
	assert.Nil(t, curve("x", "", []float64{1}))
	assert.Equal(t, "x ██▁  10 to 9 kg", curve("x", "kg", []float64{10, 10, 9})[0].Text)
	assert.Equal(t, "x ██  10 to 10 kg", curve("x", "kg", []float64{10, 10})[0].Text, "what stays looks level")
}

// A machine's page has all that waits for it, however long ago that was added, and what was strung on it last; a line opens the job.
func TestJobsOfAMachine(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	other, err := c.Add(ctx, records.KindMachine, records.Fields{"name": "at the door"}, time.Now())
	require.NoError(t, err)
	job := func(on string) string {
		r, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "technique": "two-piece-skip", "tension": "24 kg", "machine": on, "reason": "an invented one"}, "")
		require.NoError(t, err)
		return r.UID
	}
	waits := job(c.window)
	for range lastOn + 2 {
		require.NoError(t, c.EnterStrung(ctx, job(c.window), "", time.Now().Add(time.Hour)))
	}
	elsewhere := job(other.UID)
	p, err := c.Page(ctx, c.window)
	require.NoError(t, err)
	jobs := p.Below[1]
	assert.Equal(t, "jobs, the newest", jobs.Title)
	require.Len(t, jobs.Lines, lastOn+1)
	last := jobs.Lines[lastOn]
	assert.Equal(t, waits, last.UID)
	assert.Contains(t, last.Text, "waits")
	assert.Contains(t, jobs.Lines[0].Text, "24 kg · ")
	p, err = c.Page(ctx, other.UID)
	require.NoError(t, err)
	require.Len(t, p.Below[1].Lines, 1)
	assert.Equal(t, elsewhere, p.Below[1].Lines[0].UID)
}
