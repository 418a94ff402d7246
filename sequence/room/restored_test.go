package room_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/room"
	"pullcard/sequence/room/roomtest"
)

// restored puts a room back from an older copy while four benches are in it. Each that is here gives its rows again by itself and under
// its old epoch, those of one that is away are listed and put back, and who was forgotten since the copy is forgotten again.
func restored(t *testing.T, v venue) {
	ctx, n := context.Background(), 0
	books := map[string]*book.Book{}
	for _, name := range []string{"D", "K", "L", "M"} {
		books[name] = newBench(t, name)
	}
	syncer := func(name string) *room.Syncer {
		return &room.Syncer{Book: books[name], Room: v.As(name), Now: time.Now, Portion: 7}
	}
	round := func(names ...string) {
		t.Helper()
		for _, name := range names {
			r, err := syncer(name).Round(ctx)
			require.NoError(t, err, name)
			require.False(t, r.Renewed, name)
		}
	}
	write := func(names ...string) {
		for _, name := range names {
			for range 5 {
				n++
				player(t, books[name], fmt.Sprint("Player ", n, " (invented)"), clock(n))
			}
		}
	}
	p := player(t, books["K"], "Zoe (invented)", clock(0))
	_, err := books["K"].Add(ctx, records.KindRacket, records.Fields{"player": p.UID, "mark": "secret"}, clock(0))
	require.NoError(t, err)
	write("D", "K", "L", "M")
	round("D", "K", "L", "M", "D", "K", "L")
	back := v.Save()

	write("K", "L", "M")
	round("K", "L", "M", "D")
	_, err = books["D"].Forget(ctx, p.UID)
	require.NoError(t, err)
	round("D", "K", "L", "M", "D", "K") // the room is told by a bench that may
	want := whole(t, books["K"])
	require.Equal(t, want, whole(t, books["M"]))
	back()

	round("D", "K", "L", "D")
	rows, err := v.As("K").Fetch(ctx, nil, 1000)
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	for _, r := range rows {
		assert.NotContains(t, string(r.Body), "secret")
		assert.NotContains(t, string(r.Body), "Zoe")
	}
	missing, err := syncer("K").Missing(ctx)
	require.NoError(t, err)
	epoch, _, err := books["M"].OwnEpoch(ctx)
	require.NoError(t, err)
	assert.Equal(t, book.Vector{epoch: 5}, missing, "only bench M's are missing, which is not here")
	put, err := syncer("K").Repair(ctx)
	require.NoError(t, err)
	assert.Equal(t, 5, put)

	books["N"] = newBench(t, "N")
	round("N", "M", "D", "K", "L")
	for name, b := range books {
		assert.Equal(t, want, whole(t, b), name)
		requireSound(t, b)
	}
}

func TestRoomRestored(t *testing.T) {
	restored(t, &inMemory{roomtest.NewMemory(func() time.Time { return clock(0) })})
}

func TestServerRestored(t *testing.T) {
	sweep.Only(t)
	restored(t, newOnServer(t))
}

// A file of a book that was copied is told from a room that was put back: it never knew the word.
func TestCopiedFile(t *testing.T) {
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
	k := newBench(t, "K")
	round := func(b *book.Book, name string) error {
		_, err := (&room.Syncer{Book: b, Room: mem.As(name), Now: time.Now}).Round(ctx)
		return err
	}
	require.NoError(t, round(k, "K"))
	path := folder(t) + "/copy"
	require.NoError(t, k.Backup(ctx, path, nil))
	require.NoError(t, round(k, "K"))
	copied := openBook(t, path)
	var no *room.CopyError
	require.ErrorAs(t, round(copied, "K"), &no)
	assert.ErrorContains(t, no, "pullcard room leave --away")
	player(t, copied, "Bo (invented)", clock(1))
	require.NoError(t, copied.Seal(ctx))
	require.NoError(t, copied.Join(ctx, "P"))
	player(t, copied, "Ada (invented)", clock(2))
	require.NoError(t, round(copied, "P"), "a bench of its own")
	require.NoError(t, round(k, "K"))
}
