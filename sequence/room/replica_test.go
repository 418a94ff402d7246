package room_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// A wall may look at a server that only follows the room's: it sees what a bench wrote, finds out by looking, and can write nothing.
func TestReplica(t *testing.T) {
	sweep.Only(t)
	o, ctx := newOnServer(t), context.Background()
	board := o.login("wall", "board")
	bench := postgres.Join(target(t, o.server.URL(o.login("K", "bench"), o.database)), "K")
	defer bench.Close()
	replica := o.server.Replica(t)
	wall := postgres.Join(target(t, replica.URL(board, o.database)), "board")
	defer wall.Close()
	text, _, err := wall.Wall(ctx)
	require.NoError(t, err)
	assert.Empty(t, text, "no bench has written yet")
	require.NoError(t, bench.Show(ctx, "[1]"))
	require.Eventually(t, func() bool {
		text, ago, err := wall.Wall(ctx)
		return err == nil && text == "[1]" && ago >= 0 && ago < time.Minute
	}, 10*time.Second, 20*time.Millisecond)
	require.NoError(t, wall.Wait(ctx), "it looks again after a while, as nobody says that there is something new")

	other := postgres.Join(target(t, replica.URL(o.login("K", "bench"), o.database)), "K")
	defer other.Close()
	_, err = (&room.Syncer{Book: newBench(t, "K"), Room: other, Now: time.Now}).Round(ctx)
	require.ErrorContains(t, err, "read-only")
}

// BenchmarkReplica has a bench write for the wall and says how long it takes until a replica shows it to who looks, beside which a wall
// that looks every two seconds waits one of them, and what a look costs the replica.
func BenchmarkReplica(b *testing.B) {
	o, ctx := newOnServer(b), context.Background()
	board := o.login("wall", "board")
	bench := postgres.Join(target(b, o.server.URL(o.login("K", "bench"), o.database)), "K")
	defer bench.Close()
	replica := o.server.Replica(b)
	wall := postgres.Join(target(b, replica.URL(board, o.database)), "board")
	defer wall.Close()
	var took []time.Duration
	looks, before := 0, replica.Spent(b)
	for b.Loop() {
		text := fmt.Sprint(len(took))
		begin := time.Now()
		require.NoError(b, bench.Show(ctx, text))
		for {
			got, _, err := wall.Wall(ctx)
			require.NoError(b, err)
			if looks++; got == text {
				break
			}
		}
		took = append(took, time.Since(begin))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "p99-ms")
	b.ReportMetric(float64((replica.Spent(b)-before).Microseconds())/1000/float64(looks), "replica-ms/look")
}
