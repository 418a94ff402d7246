package shop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// Who forgets a player is told where the name stays: in what is said, or was before a correction, of something that is not theirs, and in
// plans of a frame that is called after them.
func TestForgettingSaysWhatStays(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	p, err := c.Book.Record(ctx, c.player)
	require.NoError(t, err)
	for _, notes := range []string{"for " + p.Label(), "for nobody"} {
		_, err = c.Correct(ctx, c.rough, book.Change{Fields: records.Fields{"notes": notes}, At: c.Now()})
		require.NoError(t, err)
	}
	_, err = c.Correct(ctx, c.window, book.Change{Fields: records.Fields{"notes": "Ada Winterbottom's"}, At: c.Now()})
	require.NoError(t, err)
	r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg"})
	require.NoError(t, err)
	finish(t, c.Shop, r.UID, c.Now(), 0)
	done, err := c.Forget(ctx, p)
	require.NoError(t, err)
	var text string
	for _, l := range done.Lines {
		text += l.Text + "\n"
	}
	assert.Contains(t, text, "the name stays in stock 2: what is said of something else keeps its history")
	where, err := c.Book.Mentions(ctx, "club sixteen")
	require.NoError(t, err)
	assert.Equal(t, []string{"the plan of job 1"}, where)

	p, err = c.Book.Record(ctx, c.player)
	require.NoError(t, err)
	done, err = c.Forget(ctx, p)
	require.NoError(t, err)
	assert.NotContains(t, done.Lines[1].Text, "the name stays", "nobody knows it any more")
}

// Of two players of one name nobody is forgotten, nor a stringer who has that name too, before it is said who is meant.
func TestForgettingAsksWhoIsMeant(t *testing.T) {
	s, ctx := newShop(t), context.Background()
	for range 2 {
		_, err := s.Add(ctx, records.KindPlayer, records.Fields{"name": "Bea Quill (invented)", "because": records.ItIsSo}, s.Now())
		require.NoError(t, err)
	}
	const several = `"quill" may be 2: 2 (Bea Quill (invented)); 1 (Bea Quill (invented)); write the number, or more words`
	_, err := s.Person(ctx, "quill")
	assert.EqualError(t, err, several)
	_, err = s.Add(ctx, records.KindStringer, records.Fields{"name": "Bea Quill (invented)"}, s.Now())
	require.NoError(t, err)
	_, err = s.Person(ctx, "quill")
	assert.EqualError(t, err, several)
	p, err := s.Person(ctx, "player 2")
	require.NoError(t, err)
	assert.Equal(t, records.KindPlayer, p.Kind)
}
