package shop

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/records"
)

// A lot that cannot be judged keeps no racket off the rack, is asked of once for all that wait in it, and again the next time.
func TestLotThatCannotBeJudged(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "two"}, "")
	require.NoError(t, err)
	path, reads := files(t, "job.toml", "frame = \"frame.toml\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n"), 0
	for range 3 {
		_, err = c.Book.Add(ctx, records.KindJob, records.Fields{"player": c.player, "lot": lot.UID, "tension": "24 kg", "file": path,
			"text": "frame = \"frame.toml\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n"}, c.Now())
		require.NoError(t, err)
	}
	c.Read = func(string) ([]byte, error) { reads++; return nil, errors.New("the disk is away") }
	queue := make([]Waiting, 3)
	for i := range queue {
		queue[i].Job.Lot = lot.UID
	}
	for range 2 {
		reads = 0
		c.decisions(ctx, 1, queue)
		assert.Equal(t, 1, reads)
		assert.False(t, queue[2].Undecided)
	}
}
