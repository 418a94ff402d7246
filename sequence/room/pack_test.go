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
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// What everybody has is cut from the log and lies in portions. Who is new or comes back after long gets it from there, whoever is
// forgotten goes out of them, and what a silent bench had not sent is kept.
func TestPacked(t *testing.T) {
	sweep.Only(t)
	ctx, o := context.Background(), newOnServer(t)
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET portion = 5")
	seat := func(name, group string) *postgres.Room {
		r := postgres.Join(target(t, o.server.URL(o.login(name, group), o.database)), name)
		t.Cleanup(r.Close)
		return r
	}
	round := func(b *book.Book, r room.Room) room.Round {
		t.Helper()
		got, err := (&room.Syncer{Book: b, Room: r, Now: time.Now, Portion: 7}).Round(ctx)
		require.NoError(t, err)
		return got
	}
	lie := func() (packs, one int) {
		require.NoError(t, o.scan("SELECT (SELECT count(*) FROM pullcard.packs), (SELECT count(*) FROM pullcard.bodies)", &packs, &one))
		return packs, one
	}
	k, l, away := newBench(t, "K"), newBench(t, "L"), newBench(t, "M")
	atK, atL, atM := seat("K", "desk"), seat("L", "bench"), seat("M", "desk")
	round(away, atM)
	p := player(t, k, "Ada (invented)", clock(0))
	for n := range 11 {
		player(t, k, fmt.Sprint("Player ", n, " (invented)"), clock(n))
	}
	round(k, atK)
	round(l, atL)
	packs, one := lie()
	assert.Equal(t, []int{0, 12}, []int{packs, one}, "bench M has not got it")

	lacks := func() (out []postgres.Lack) {
		tips, err := atK.Tips(ctx)
		require.NoError(t, err)
		for _, tip := range tips {
			out = append(out, tip.Lack...)
		}
		return out
	}
	assert.Equal(t, []postgres.Lack{{Bench: "M", Rows: 12}}, lacks())

	player(t, away, "Zoe (invented)", clock(99)) // M writes, and is away for a month
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.members SET seen = now() - interval '31 days' WHERE bench = 'M'")
	assert.Empty(t, lacks(), "nobody waits for it any more")
	round(k, atK)
	packs, one = lie()
	assert.Equal(t, []int{2, 2}, []int{packs, one}, "whole portions are cut, the rest stays")

	fresh := newBench(t, "N")
	assert.Equal(t, 12, round(fresh, seat("N", "bench")).Taken)
	require.Equal(t, whole(t, k), whole(t, fresh))
	requireSound(t, fresh)

	back := round(away, atM)
	assert.Equal(t, []int{12, 1}, []int{back.Taken, back.Given}, "what M had not sent is kept")
	_, err := away.Forget(ctx, p.UID)
	require.NoError(t, err)
	for _, s := range []struct {
		b *book.Book
		r room.Room
	}{{away, atM}, {k, atK}, {l, atL}, {fresh, seat("N", "bench")}} {
		round(s.b, s.r)
		require.Equal(t, whole(t, away), whole(t, s.b))
	}
	var kept bool
	require.NoError(t, o.scan("SELECT EXISTS (SELECT FROM pullcard.packs WHERE position('Ada'::bytea IN body) > 0)", &kept))
	assert.False(t, kept, "who is forgotten is in no portion")
	late := newBench(t, "O")
	round(late, seat("O", "bench"))
	require.Equal(t, whole(t, away), whole(t, late))
	requireSound(t, late)

	var no *room.RefusedError
	for _, has := range []string{"'[]'", `'{"x": "much"}'`, `'{"x": -1}'`, "NULL"} {
		assert.Equal(t, "PC001", o.codeOf(t, o.login("K", "bench"), "SELECT pullcard.acknowledge('K', "+has+")"), has)
	}
	require.ErrorAs(t, atL.Forget(ctx, []book.Place{{Epoch: "x", Seq: 1}}), &no)
}
