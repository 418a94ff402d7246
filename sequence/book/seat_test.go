package book

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/records"
)

func TestSeat(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	bench, url, err := b.Seat(ctx)
	require.NoError(t, err)
	assert.Equal(t, []string{"", ""}, []string{bench, url})
	require.NoError(t, b.Join(ctx, "K"))
	require.NoError(t, b.SetRoom(ctx, "postgres:///hall"))
	require.NoError(t, b.SetRoom(ctx, "postgres:///room"))
	bench, url, err = b.Seat(ctx)
	require.NoError(t, err)
	assert.Equal(t, []string{"K", "postgres:///room"}, []string{bench, url})
	require.NoError(t, b.SetRoom(ctx, ""))
	_, url, err = b.Seat(ctx)
	require.NoError(t, err)
	assert.Empty(t, url)
	for _, name := range []string{"", "two words", "thirteen-long", "é", "a;b"} {
		require.Error(t, b.Join(ctx, name), name)
	}
}

// What was written by a clock far ahead is told with its bench, and the book's own clock does not follow.
func TestClockAhead(t *testing.T) {
	ctx, k, l := context.Background(), fresh(t), fresh(t)
	require.NoError(t, k.Join(ctx, "K"))
	now := clock(0)
	_, err := k.Add(ctx, records.KindPlayer, records.Fields{"name": "Ada (invented)"}, now.Add(25*time.Hour))
	require.NoError(t, err)
	_, err = k.Add(ctx, records.KindPlayer, records.Fields{"name": "Bo (invented)"}, now.Add(72*time.Hour))
	require.NoError(t, err)
	require.NoError(t, k.Seal(ctx))
	epoch, _, err := k.OwnEpoch(ctx)
	require.NoError(t, err)
	rows, err := k.Rows(ctx, epoch, 0, 10)
	require.NoError(t, err)
	_, err = l.Take(ctx, rows, now)
	require.NoError(t, err)
	ahead, err := l.ClocksAhead(ctx, now)
	require.NoError(t, err)
	require.Len(t, ahead, 1)
	assert.WithinDuration(t, now.Add(72*time.Hour), ahead["K"], time.Second)
	ahead, err = l.ClocksAhead(ctx, now.Add(71*time.Hour))
	require.NoError(t, err)
	assert.Empty(t, ahead)
	var text string
	require.NoError(t, l.db.QueryRow("SELECT clock FROM self").Scan(&text))
	assert.Less(t, text, stamp(now.Add(24*time.Hour)))
}

// A row that this program cannot take in is kept as it came and passed on, and is tried again when a book is opened, as by a newer one,
// with what followed it; where nobody writes anything more too.
func TestNewerRowsAreTriedAgain(t *testing.T) {
	ctx, k, l := context.Background(), fresh(t), fresh(t)
	require.NoError(t, k.Join(ctx, "K"))
	r, err := k.Add(ctx, records.KindPlayer, records.Fields{"name": "Ada (invented)"}, clock(0))
	require.NoError(t, err)
	require.NoError(t, k.Seal(ctx))
	epoch, _, err := k.OwnEpoch(ctx)
	require.NoError(t, err)
	rows, err := k.Rows(ctx, epoch, 0, 10)
	require.NoError(t, err)
	last := rows[len(rows)-1]
	next := Row{Bench: "K", Epoch: epoch, Seq: last.Seq + 1, Kind: "omen", Body: []byte(`{"a":1}`)}
	next.Digest = digestOf(next.Body)
	next.Hash = next.Chain(last.Hash)
	_, err = l.Take(ctx, append(rows[:len(rows):len(rows)], next), clock(1))
	require.NoError(t, err)
	unfit, err := l.Unfit(ctx)
	require.NoError(t, err)
	require.Len(t, unfit, 1)
	assert.True(t, unfit[0].Newer)
	assert.Equal(t, "a newer program wrote it: there is no kind of row \"omen\"", unfit[0].Why)
	on, err := l.Rows(ctx, epoch, last.Seq, 1)
	require.NoError(t, err)
	assert.Equal(t, []Row{next}, on, "it is passed on untouched")

	// As though an older one had refused what this one knows.
	sqlExec(t, l.db, "DELETE FROM changes; DELETE FROM records; UPDATE log SET waits = '!1 no such kind', body = CAST('"+string(rows[0].Body)+"' AS BLOB) WHERE seq = 1 AND source = (SELECT id FROM sources WHERE epoch = '"+epoch+"')")
	for i := range 2 { // once is enough, and does no harm twice
		require.NoError(t, l.Close())
		l, err = Open(ctx, l.path)
		require.NoError(t, err)
		took, err := l.Take(ctx, nil, clock(2))
		require.NoError(t, err)
		assert.Equal(t, 1-i, took.Late)
		got, err := l.Record(ctx, r.UID)
		require.NoError(t, err)
		assert.Equal(t, r.Fields, got.Fields)
		unfit, err = l.Unfit(ctx)
		require.NoError(t, err)
		require.Len(t, unfit, 1)
		assert.Equal(t, "omen", unfit[0].Kind)
	}
	require.NoError(t, l.Close())
}

// A field or a kind of record that this program does not know is a newer one's.
func TestNewerFieldsAreKnownAsSuch(t *testing.T) {
	ctx, l := context.Background(), fresh(t)
	require.NoError(t, l.Join(ctx, "L"))
	for i, what := range []string{`"kind":"machine"`, `"kind":"omen"`} {
		r := Row{Bench: "K", Epoch: fmt.Sprint("e", i), Seq: 1, Kind: rowRecord,
			Body: []byte(`{"uid":"k3",` + what + `,"stamp":"2026-03-04T09:05:06.000000001Z old","over":[],"at":"2026-03-04T09:05:06Z","fields":{"name":"window","play":"2 mm"}}`)}
		r.Digest = digestOf(r.Body)
		r.Hash = r.Chain(make([]byte, 32))
		_, err := l.Take(ctx, []Row{r}, clock(1))
		require.NoError(t, err)
	}
	unfit, err := l.Unfit(ctx)
	require.NoError(t, err)
	require.Len(t, unfit, 2)
	assert.True(t, unfit[0].Newer && unfit[1].Newer, "%+v", unfit)
}
