package room_test

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"sync"
	"syscall"
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

var doneAt = regexp.MustCompile(`"at":"([^"]+)","kind":"done"`)

func (h *heard) Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error) {
	rows, err := h.Room.Fetch(ctx, after, limit)
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, r := range rows {
		if m := doneAt.FindSubmatch(r.Body); m != nil {
			at, err := time.Parse(time.RFC3339Nano, string(m[1]))
			if err != nil {
				return nil, err
			}
			h.given = append(h.given, at)
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

// BenchmarkChangeToOtherBench has benches at work, each of which marks a step once a second, and says how long it takes until another bench
// has it in its book, how much of a processor all benches and the server take together, and what the server has to do for a step. They share
// this machine, which in a room they do not. Run it with -benchtime=60x: b.N is seconds.
func BenchmarkChangeToOtherBench(b *testing.B) {
	for _, benches := range []int{4, 10, 40} {
		b.Run(fmt.Sprint(benches), func(b *testing.B) { changes(b, benches) })
	}
}

// atWork is a bench that strings.
type atWork struct {
	*book.Book
	job         int64
	done, steps int
}

// begin begins a job.
func (w *atWork) begin(b *testing.B, steps int) {
	job, err := w.NewJob(context.Background(), book.Draft{At: time.Now(), Plan: invented(steps)})
	require.NoError(b, err)
	w.job, w.done, w.steps = job, 0, steps
}

// key marks a step, after the last one of a job the first one of the next.
func (w *atWork) key(b *testing.B) {
	if w.done == w.steps {
		w.begin(b, 60)
	}
	err := w.Append(context.Background(), w.job, w.done, progress.Event{At: time.Now(), Kind: progress.Done, Step: w.done + 1})
	require.NoError(b, err)
	w.done++
}

func changes(b *testing.B, benches int) {
	o := newOnServer(b)
	ctx, cancel := context.WithCancel(context.Background())
	var done sync.WaitGroup
	var working []*atWork
	listener := &heard{}
	for i := range benches {
		name := fmt.Sprint("B", i)
		bk := newBench(b, name)
		seat := postgres.Join(target(b, o.server.URL(o.login(name, "bench"), o.database)), name)
		w := &atWork{Book: bk}
		w.begin(b, 3+i) // they do not all end at once
		working = append(working, w)
		s, tell := room.Syncer{Book: bk, Room: seat, Now: time.Now}, func(room.Status) {}
		if i == 0 {
			listener.Room = seat
			s.Room, tell = listener, listener.tell
		}
		k := room.NewKeeper(s, name, tell)
		done.Go(func() { defer seat.Close(); k.Run(ctx) })
	}
	time.Sleep(time.Duration(2+benches/4) * time.Second) // they join
	used, served := spent(b), o.server.Spent(b)
	did := o.did(b)
	b.ResetTimer()
	var hands sync.WaitGroup
	for i, w := range working[1:] {
		hands.Go(func() {
			time.Sleep(time.Duration(i) * time.Second / time.Duration(benches))
			next := time.Now()
			for range b.N {
				w.key(b)
				next = next.Add(time.Second)
				time.Sleep(time.Until(next))
			}
		})
	}
	hands.Wait()
	b.StopTimer()
	used, served = spent(b)-used, o.server.Spent(b)-served
	for i, n := range o.did(b) {
		did[i] = (n - did[i]) / float64((benches-1)*b.N)
	}
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
	b.ReportMetric(100*used.Seconds()/b.Elapsed().Seconds(), "benches-%")
	b.ReportMetric(100*served.Seconds()/b.Elapsed().Seconds(), "server-%")
	b.ReportMetric(float64(served.Microseconds())/1000/float64(n), "server-ms/step")
	b.ReportMetric(did[0], "transactions/step")
	b.ReportMetric(did[1]/1000, "wal-KB/step")
}

// did is how many transactions the room's database has had, and how many bytes the server has written to its log of writes.
func (o *onServer) did(b *testing.B) []float64 {
	var transactions, bytes float64
	require.NoError(b, o.scan("SELECT xact_commit, pg_current_wal_insert_lsn() - '0/0' FROM pg_stat_database WHERE datname = current_database()", &transactions, &bytes))
	return []float64{transactions, bytes}
}

// spent is how long this program has computed.
func spent(b *testing.B) time.Duration {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkNewBench has a bench join that has nothing yet, in a room with jobs of 64 steps each, for 80 players. It
// takes the packed log, as benches do in time; cpu-ms/job is what the bench computes for it, whatever else the machine does, ms/portion how
// long it takes meanwhile to fetch the next rows. To fill a room with 20,000 jobs takes minutes.
func BenchmarkNewBench(b *testing.B) {
	for _, jobs := range []int{400, 4000, 20_000} {
		b.Run(fmt.Sprint(jobs), func(b *testing.B) { newcomer(b, jobs) })
	}
}

func newcomer(b *testing.B, jobs int) {
	ctx, o := context.Background(), newOnServer(b)
	k := newBench(b, "K")
	for i := range jobs {
		events := make([]progress.Event, 63)
		for n := range events {
			events[n] = progress.Event{At: clock(100*i + n), Kind: progress.Done, Step: n + 1}
		}
		d := book.Draft{Player: fmt.Sprint("Player ", i%80, " (invented)"), Racket: "first", At: clock(100 * i), Plan: invented(64)}
		_, err := k.Enter(ctx, d, events)
		require.NoError(b, err)
	}
	seat := func(name string) *postgres.Room {
		return postgres.Join(target(b, o.server.URL(o.login(name, "bench"), o.database)), name)
	}
	o.server.Exec(b, "keeper", o.database, "UPDATE pullcard.room SET rate = 100000000")
	begin := time.Now()
	r, err := (&room.Syncer{Book: k, Room: seat("K"), Now: time.Now}).Round(ctx)
	require.NoError(b, err)
	gave := float64(r.Given) / time.Since(begin).Seconds()
	written := o.size(b) / float64(jobs) * 1000
	for packed := 1; packed > 0; { // as benches do in time, when they say what they have
		require.NoError(b, o.scan("SELECT pullcard.pack(4)", &packed))
	}
	o.server.Exec(b, "keeper", o.database, "VACUUM FULL pullcard.bodies") // as far as autovacuum comes in time
	n, used := 0, time.Duration(0)
	var fetched []time.Duration
	for b.Loop() {
		b.StopTimer()
		n++
		name := fmt.Sprint("N", n)
		fresh, at := newBench(b, name), seat(name)
		before := spent(b)
		b.StartTimer()
		_, err := (&room.Syncer{Book: fresh, Room: timed{at, &fetched}, Now: time.Now}).Round(ctx)
		require.NoError(b, err)
		b.StopTimer()
		used += spent(b) - before
		at.Close()
		require.NoError(b, fresh.Close())
		b.StartTimer()
	}
	all := float64(jobs * n)
	b.ReportMetric(float64(r.Given*n)/b.Elapsed().Seconds(), "taken-rows/s")
	b.ReportMetric(all/b.Elapsed().Seconds(), "jobs/s")
	b.ReportMetric(float64(used.Microseconds())/1000/all, "cpu-ms/job")
	slices.Sort(fetched)
	b.ReportMetric(float64(fetched[len(fetched)/2].Microseconds())/1000, "p50-ms/portion")
	b.ReportMetric(gave, "given-rows/s")
	b.ReportMetric(written, "MB/1000-rackets-as-written")
	b.ReportMetric(o.size(b)/float64(jobs)*1000, "MB/1000-rackets-packed")
}

// timed is a room of which it is known how long it took to fetch.
type timed struct {
	room.Room
	took *[]time.Duration
}

func (r timed) Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error) {
	begin := time.Now()
	defer func() { *r.took = append(*r.took, time.Since(begin)) }()
	return r.Room.Fetch(ctx, after, limit)
}

// size is how many megabytes the room takes on the server, with its indexes.
func (o *onServer) size(b *testing.B) float64 {
	var bytes int64
	require.NoError(b, o.scan("SELECT sum(pg_total_relation_size(c.oid))::bigint FROM pg_class c JOIN pg_namespace n ON n.oid = relnamespace WHERE nspname = 'pullcard' AND relkind = 'r'", &bytes))
	return float64(bytes) / 1e6
}
