package shop

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// What is worked out once stays so only as long as what it follows from: a bed as long as its tensions, one that cannot be computed not at all.
func TestBedsAreComputedOnce(t *testing.T) {
	asked, away := 0, errors.New("no hoop")
	bed := onceEach(func(mains, crosses measure.Tension) (float64, float64, error) {
		if asked++; mains == crosses {
			return 0, 0, away
		}
		return float64(asked), 600, nil
	})
	tension := func(text string) measure.Tension {
		at, err := measure.ParseTension(text)
		require.NoError(t, err)
		return at
	}
	for _, c := range []struct {
		mains, crosses string
		stiffness      float64
		asked          int
	}{{"24 kg", "23 kg", 1, 1}, {"24 kg", "23 kg", 1, 1}, {"23 kg", "24 kg", 2, 2}, {"24 kg", "23 kg", 1, 2}} {
		stiffness, hz, err := bed(tension(c.mains), tension(c.crosses))
		require.NoError(t, err)
		assert.Equal(t, []float64{c.stiffness, 600}, []float64{stiffness, hz})
		assert.Equal(t, c.asked, asked)
	}
	for n := range 2 {
		_, _, err := bed(tension("24 kg"), tension("24 kg"))
		require.ErrorIs(t, err, away)
		assert.Equal(t, 3+n, asked, "it is tried again")
	}
}

// The rack says at once what whoever waits there is called by now.
func TestTheRackKnowsNewNames(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	_, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg"})
	require.NoError(t, err)
	for _, name := range []string{"Bo (invented)", "Cleo (invented)"} {
		_, err := c.Correct(ctx, c.player, book.Change{Fields: records.Fields{"name": name}, At: c.Now()})
		require.NoError(t, err)
		for range 2 {
			list, _, err := c.Rack(ctx, nil)
			require.NoError(t, err)
			assert.Contains(t, list[0].Title, name)
		}
	}
	_, err = c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.another, "frame": "club-sixteen", "technique": "two-piece-skip", "tension": "24 kg"}, "")
	require.NoError(t, err)
	list, _, err := c.Rack(ctx, nil)
	require.NoError(t, err)
	assert.Contains(t, list[1].Title, "red dot", "whose name nobody has asked before")
}
