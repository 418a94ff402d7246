package room_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/roomtest"
)

// logOf are rows of a bench's own.
func logOf(t testing.TB, b *book.Book) []book.Row {
	t.Helper()
	ctx := context.Background()
	require.NoError(t, b.Seal(ctx))
	epoch, _, err := b.OwnEpoch(ctx)
	require.NoError(t, err)
	rows, err := b.Rows(ctx, epoch, 0, 1000)
	require.NoError(t, err)
	return rows
}

// conform is what every Room keeps. seats gives a new room as its benches have it.
func conform(t *testing.T, seats func(t *testing.T) func(bench string) room.Room) {
	ctx := context.Background()
	written := func(t *testing.T, bench string) []book.Row {
		b := newBench(t, bench)
		for _, name := range []string{"Ada (invented)", "Bo (invented)", "Cy (invented)"} {
			player(t, b, name, clock(1))
		}
		return logOf(t, b)
	}
	t.Run("rows", func(t *testing.T) {
		as := seats(t)
		k, l, rows := as("K"), as("L"), written(t, "K")
		require.NoError(t, k.Append(ctx, rows[:2]))
		require.NoError(t, k.Append(ctx, rows), "those that are there change nothing")
		require.NoError(t, k.Append(ctx, rows))
		epoch := rows[0].Epoch
		v, err := l.Vector(ctx)
		require.NoError(t, err)
		assert.Equal(t, book.Vector{epoch: 3}, v)
		got, err := l.Fetch(ctx, nil, 100)
		require.NoError(t, err)
		assert.Equal(t, rows, got)
		got, err = l.Fetch(ctx, book.Vector{epoch: 1}, 1)
		require.NoError(t, err)
		assert.Equal(t, rows[1:2], got)
		got, err = l.Fetch(ctx, v, 100)
		require.NoError(t, err)
		assert.Empty(t, got)

		more := written(t, "L")
		require.NoError(t, l.Append(ctx, more))
		got, err = k.Fetch(ctx, nil, 100)
		require.NoError(t, err)
		assert.Equal(t, append(rows[:3:3], more...), got, "as they arrived")
	})
	t.Run("refused", func(t *testing.T) {
		as := seats(t)
		k, l, rows := as("K"), as("L"), written(t, "K")
		var refused *room.RefusedError
		require.ErrorAs(t, k.Append(ctx, rows[1:]), &refused, "a gap")
		require.ErrorAs(t, l.Append(ctx, rows), &refused, "somebody else's")
		forged := append([]book.Row{}, rows...)
		for i := range forged {
			forged[i].Bench = "L"
		}
		require.NoError(t, k.Append(ctx, rows[:1]))
		require.ErrorAs(t, l.Append(ctx, forged[1:]), &refused, "somebody else's epoch under its own name")
		bad := append([]book.Row{}, rows...)
		bad[2].Body = []byte("{}")
		require.ErrorAs(t, k.Append(ctx, bad[1:]), &refused, "another body than its digest's")
		bad[2].Body, bad[2].Kind = rows[2].Body, ""
		require.ErrorAs(t, k.Append(ctx, bad[1:]), &refused, "no kind")
		v, err := k.Vector(ctx)
		require.NoError(t, err)
		assert.Equal(t, book.Vector{rows[0].Epoch: 1}, v, "all or none")
		var fork *book.ForkError
		bad[2] = rows[2]
		bad[1].Kind = "forget"
		require.ErrorAs(t, k.Append(ctx, bad[1:]), &fork)
		require.NoError(t, k.Append(ctx, rows))
		bad[2].Hash = rows[0].Hash
		require.ErrorAs(t, k.Append(ctx, bad[2:]), &fork)
		assert.Equal(t, int64(3), fork.Seq)
	})
	t.Run("copies", func(t *testing.T) {
		as := seats(t)
		k, l := as("K"), as("L")
		var copied *room.CopyError
		require.NoError(t, k.Enter(ctx, "e1", "", "a"))
		require.NoError(t, k.Enter(ctx, "e1", "", "a"), "stopped before it could write it down")
		require.NoError(t, k.Enter(ctx, "e1", "a", "b"))
		require.ErrorAs(t, k.Enter(ctx, "e1", "a", "c"), &copied)
		require.ErrorAs(t, l.Enter(ctx, "e1", "b", "c"), &copied)
		require.NoError(t, k.Enter(ctx, "e2", "a", "c"))
	})
	t.Run("forgetting", func(t *testing.T) {
		as := seats(t)
		k, l, rows := as("K"), as("L"), written(t, "K")
		require.NoError(t, k.Append(ctx, rows))
		list := []book.Place{{Epoch: rows[1].Epoch, Seq: 2}, {Epoch: "nobody", Seq: 1}, {Epoch: rows[1].Epoch, Seq: 99}}
		require.NoError(t, l.Forget(ctx, list))
		require.NoError(t, l.Forget(ctx, list))
		require.NoError(t, k.Append(ctx, rows), "it cannot be brought back")
		got, err := l.Fetch(ctx, nil, 100)
		require.NoError(t, err)
		rows[1].Body = nil
		assert.Equal(t, rows, got)
	})
	t.Run("claims", func(t *testing.T) {
		as := seats(t)
		k, l := as("K"), as("L")
		n, err := k.Claim(ctx, "j1", 0)
		require.NoError(t, err)
		assert.Equal(t, 1, n)
		var held *room.HeldError
		_, err = l.Claim(ctx, "j1", 0)
		require.ErrorAs(t, err, &held)
		assert.Equal(t, []any{"K", 1, "j1"}, []any{held.Bench, held.Number, held.Job})
		n, err = l.Claim(ctx, "j1", 1)
		require.NoError(t, err)
		assert.Equal(t, 2, n)
		_, err = k.Claim(ctx, "j1", 1)
		require.ErrorAs(t, err, &held)
		n, err = k.Claim(ctx, "j2", 4)
		require.NoError(t, err)
		assert.Equal(t, 5, n, "numbers only rise, also where the room has lost the last one")
	})
	t.Run("members and repair", func(t *testing.T) {
		as := seats(t)
		k, l, rows := as("K"), as("L"), written(t, "K")
		require.NoError(t, l.Acknowledge(ctx, book.Vector{"x": 7}))
		require.NoError(t, l.Repair(ctx, rows))
		got, err := k.Fetch(ctx, nil, 100)
		require.NoError(t, err)
		assert.Equal(t, rows, got)
		require.NoError(t, k.Append(ctx, rows), "they are its own all the same")
		list, err := k.Members(ctx)
		require.NoError(t, err)
		require.Len(t, list, 2)
		assert.Equal(t, []string{"K", "L"}, []string{list[0].Bench, list[1].Bench})
		assert.Equal(t, book.Vector{"x": 7}, list[1].Has)
		assert.False(t, list[1].Seen.IsZero())
	})
	t.Run("waiting", func(t *testing.T) {
		as := seats(t)
		k, l, rows := as("K"), as("L"), written(t, "K")
		stop, cancel := context.WithTimeout(ctx, 20*time.Millisecond)
		defer cancel()
		require.ErrorIs(t, l.Wait(stop), context.DeadlineExceeded)
		woken := make(chan error)
		go func() { woken <- l.Wait(ctx) }()
		for n := 0; ; n++ { // it may not wait yet
			if n < len(rows) {
				require.NoError(t, k.Append(ctx, rows[n:n+1]))
			}
			select {
			case err := <-woken:
				require.NoError(t, err)
				return
			case <-time.After(50 * time.Millisecond):
				require.Less(t, n, 100, "nobody was woken")
			}
		}
	})
}

func TestMemoryConforms(t *testing.T) {
	conform(t, func(*testing.T) func(string) room.Room {
		return roomtest.NewMemory(func() time.Time { return clock(0) }).As
	})
}
