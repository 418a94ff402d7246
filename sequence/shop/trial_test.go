package shop

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/records"
)

// A sheet of the house is tried on frames and corrected, one that a job names is tried on the job, and kept under a name of its own
// where it is built in.
func TestTrial(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	job, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "25 kg", "reason": "asked for"}, "")
	require.NoError(t, err)
	of, err := c.Trial(ctx, job.UID)
	require.NoError(t, err)
	assert.False(t, of.Kept)
	assert.Equal(t, "house-two-piece-skip", of.Name)
	require.Len(t, of.On, 1)

	same, err := of.Try(of.Text, of.On[0], of.Beside[0])
	require.NoError(t, err)
	assert.Empty(t, same.Contrast.Differences)
	changed := []byte(strings.Replace(string(of.Text), "lead  = 3", "lead  = 1", 1))
	tried, err := of.Try(changed, of.On[0], of.Beside[0])
	require.NoError(t, err)
	assert.Equal(t, 1, tried.Plan.Totals.MaxLead)
	assert.NotEmpty(t, tried.Contrast.Differences)
	assert.Len(t, tried.Totals, 3)
	beside, err := of.Try(changed, of.On[0], "two-piece-clamp")
	require.NoError(t, err)
	assert.Equal(t, "Two pieces, clamp start", beside.Contrast.Other)
	assert.Equal(t, tried.Contrast.Own+", as it was", tried.Contrast.Other)
	_, err = of.Try([]byte("name = \"x\"\npieces = 3\n"), of.On[0], of.Beside[0])
	assert.ErrorContains(t, err, "2:10: pieces is 3; write 1 to 2")
	_, err = of.Try([]byte("name = \"x\"\n[clamps]\nfixed = 0\n"), of.On[0], of.Beside[0])
	assert.Error(t, err, "a sheet that cannot be strung by")

	require.NoError(t, of.Keep(ctx, of.Name, changed, ""))
	require.ErrorContains(t, of.Keep(ctx, of.Name, changed, ""), "is called \"house-two-piece-skip\" already")
	next, err := c.Trial(ctx, job.UID)
	require.NoError(t, err)
	assert.Equal(t, "house-two-piece-skip-2", next.Name, "another of it")
	list, err := c.Find(ctx, records.KindSheet, "", "house-two")
	require.NoError(t, err)
	require.Len(t, list, 1)
	own, err := c.Trial(ctx, list[0].UID)
	require.NoError(t, err)
	assert.True(t, own.Kept)
	assert.Equal(t, changed, own.Text)
	assert.Contains(t, own.On, "club-sixteen")
	for i, frame := range own.On { // each with an order of its own
		if sweep.Take(i, 4) {
			_, err = own.Try(own.Text, frame, own.Beside[0])
			assert.NoError(t, err, frame)
		}
	}
	require.NoError(t, own.Keep(ctx, own.Name, of.Text, "the frames twist"))
	page, err := c.Page(ctx, list[0].UID)
	require.NoError(t, err)
	require.Len(t, page.Corrections, 1)
	assert.Equal(t, "the frames twist", page.Corrections[0].Why)
}
