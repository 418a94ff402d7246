package shop

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/records"
)

// What a lot lacks is put in at once, as the one that waits in it: set-up, string, promise and price; all of them or none.
func TestRestOfLot(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	lot, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "three"}, "")
	require.NoError(t, err)
	_, err = c.RestOfLot(ctx, lot.UID)
	require.ErrorContains(t, err, "a adds the first")
	third, err := c.Keep(ctx, records.KindRacket, "", records.Fields{"player": c.player, "mark": "green", "frame": "club-sixteen"}, "")
	require.NoError(t, err)
	promised := time.Now().Add(3 * time.Hour).Format("2006-01-02 15:04")
	first, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "lot": lot.UID, "frame": "club-sixteen", "technique": "two-piece-knot", "tension": "23 kg / 22 kg",
		"mains": c.round, "promised": promised, "price": "18 EUR"}, "")
	require.NoError(t, err)
	says, err := c.RestOfLot(ctx, lot.UID)
	require.NoError(t, err)
	assert.Equal(t, "red dot, green, as job 1: 23 kg / 22 kg, two-piece-knot", says)
	list, err := c.FillLot(ctx, lot.UID)
	require.NoError(t, err)
	require.Len(t, list, 2)
	for i, racket := range []string{c.another, third.UID} {
		assert.Equal(t, racket, list[i].Fields["racket"])
		for _, key := range []string{"lot", "player", "technique", "tension", "mains", "promised", "price", "text"} {
			assert.Equal(t, first.Fields[key] == "", list[i].Fields[key] == "", key)
			if key != "text" { // which names the racket
				assert.Equal(t, first.Fields[key], list[i].Fields[key], key)
			}
		}
	}
	_, err = c.FillLot(ctx, lot.UID)
	require.ErrorContains(t, err, "every racket of that player is in it")

	second, err := c.Keep(ctx, records.KindLot, "", records.Fields{"player": c.player, "name": "twice"}, "")
	require.NoError(t, err)
	_, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "lot": second.UID, "technique": "two-piece-knot", "tension": "23 kg", "reason": "a second one"}, "")
	require.NoError(t, err)
	_, err = c.FillLot(ctx, second.UID)
	require.ErrorContains(t, err, fmt.Sprintf("not red dot: job %d waits; not green: job %d waits (a adds one by one, and asks)", list[0].ID, list[1].ID))
	_, refused := c.RestOfLot(ctx, second.UID)
	require.EqualError(t, refused, err.Error(), "nothing is promised that would be refused")
	waiting, err := c.Book.Queue(ctx)
	require.NoError(t, err)
	assert.Len(t, waiting, 4, "none was put in")

	fourth, err := c.Keep(ctx, records.KindRacket, "", records.Fields{"player": c.player, "mark": "white", "frame": "club-sixteen"}, "")
	require.NoError(t, err)
	says, err = c.RestOfLot(ctx, second.UID)
	require.NoError(t, err)
	assert.Equal(t, fmt.Sprintf("white, as job 4: 23 kg, two-piece-knot; not red dot: job %d waits; not green: job %d waits", list[0].ID, list[1].ID), says, "what waits outside of the lot keeps no other from coming into it")
	list, err = c.FillLot(ctx, second.UID)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, fourth.UID, list[0].Fields["racket"])
}
