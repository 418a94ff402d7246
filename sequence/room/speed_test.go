package room_test

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// heard is a room that remembers when what it gives was written.
type heard struct {
	room.Room
	mu    sync.Mutex
	given []time.Time
	took  []time.Duration
}

func (h *heard) Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error) {
	rows, err := h.Room.Fetch(ctx, after, limit)
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, r := range rows {
		if m := regexp.MustCompile(`"name":"(\d+)"`).FindSubmatch(r.Body); m != nil {
			n, err := strconv.ParseInt(string(m[1]), 10, 64)
			if err != nil {
				return nil, err
			}
			h.given = append(h.given, time.Unix(0, n))
		}
	}
	return rows, err
}

// tell says that what was given is in the book now.
func (h *heard) tell(s room.Status) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, at := range h.given {
		h.took = append(h.took, time.Since(at))
	}
	h.given = nil
}

// BenchmarkChangeToOtherBench has benches at work, each of which writes once a second, and says how long it takes until another bench
// has it in its book. All benches and the server share this machine, which in a room they do not.
func BenchmarkChangeToOtherBench(b *testing.B) {
	for _, benches := range []int{4, 10, 40} {
		b.Run(fmt.Sprint(benches), func(b *testing.B) { changes(b, benches) })
	}
}

func changes(b *testing.B, benches int) {
	o := newOnServer(b)
	ctx, cancel := context.WithCancel(context.Background())
	var done sync.WaitGroup
	var books []*book.Book
	listener := &heard{}
	for i := range benches {
		name := fmt.Sprint("B", i)
		bk := newBench(b, name)
		seat := postgres.Join(target(b, o.server.URL(o.login(name, "bench"), o.database)), name)
		books = append(books, bk)
		s, tell := room.Syncer{Book: bk, Room: seat, Now: time.Now}, func(room.Status) {}
		if i == 0 {
			listener.Room = seat
			s.Room, tell = listener, listener.tell
		}
		k := room.NewKeeper(s, name, tell)
		done.Go(func() { defer seat.Close(); k.Run(ctx) })
	}
	time.Sleep(3 * time.Second) // they join
	b.ResetTimer()
	for range b.N {
		for i, bk := range books {
			if i > 0 {
				done.Go(func() {
					time.Sleep(time.Duration(i) * time.Second / time.Duration(benches))
					player(b, bk, fmt.Sprint(time.Now().UnixNano()), time.Now())
				})
			}
		}
		time.Sleep(time.Second)
	}
	b.StopTimer()
	for range 300 { // what is under way comes
		listener.mu.Lock()
		n := len(listener.took)
		listener.mu.Unlock()
		if n == (benches-1)*b.N {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	cancel()
	done.Wait()
	slices.Sort(listener.took)
	n := len(listener.took)
	require.Equal(b, (benches-1)*b.N, n, "everything came")
	b.ReportMetric(float64(listener.took[n/2].Milliseconds()), "p50-ms")
	b.ReportMetric(float64(listener.took[n*99/100].Milliseconds()), "p99-ms")
}

// BenchmarkNewBench has a bench join that has nothing yet, in a room with jobs of 64 steps each.
func BenchmarkNewBench(b *testing.B) {
	const jobs = 100
	ctx, o := context.Background(), newOnServer(b)
	k := newBench(b, "K")
	for i := range jobs {
		id, err := k.NewJob(ctx, book.Draft{At: clock(i), Plan: invented(64)})
		require.NoError(b, err)
		for n := range 63 {
			require.NoError(b, k.Append(ctx, id, n, progress.Event{At: clock(100*i + n), Kind: progress.Done, Step: n + 1}))
		}
	}
	seat := func(name string) *postgres.Room {
		return postgres.Join(target(b, o.server.URL(o.login(name, "bench"), o.database)), name)
	}
	begin := time.Now()
	r, err := (&room.Syncer{Book: k, Room: seat("K"), Now: time.Now}).Round(ctx)
	require.NoError(b, err)
	gave := float64(r.Given) / time.Since(begin).Seconds()
	b.ResetTimer()
	for n := range b.N {
		b.StopTimer()
		name := fmt.Sprint("N", n)
		fresh, at := newBench(b, name), seat(name)
		b.StartTimer()
		_, err := (&room.Syncer{Book: fresh, Room: at, Now: time.Now}).Round(ctx)
		require.NoError(b, err)
		b.StopTimer()
		at.Close()
		require.NoError(b, fresh.Close())
		b.StartTimer()
	}
	b.ReportMetric(float64(r.Given*b.N)/b.Elapsed().Seconds(), "taken-rows/s")
	b.ReportMetric(float64(jobs*b.N)/b.Elapsed().Seconds(), "jobs/s")
	b.ReportMetric(gave, "given-rows/s")
	var bytes int64
	require.NoError(b, o.scan("SELECT sum(pg_total_relation_size(c.oid))::bigint FROM pg_class c JOIN pg_namespace n ON n.oid = relnamespace WHERE nspname = 'pullcard' AND relkind = 'r'", &bytes))
	b.ReportMetric(float64(bytes)/jobs*1000/1e6, "MB/1000-rackets")
}
