package book

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// filled makes a book of 50 jobs of 70 events each, the last one open.
func filled(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "book")
	bk := open(b, path)
	sqlExec(b, bk.db, "PRAGMA synchronous = OFF") // only to fill it faster
	for i := range 50 {
		id := newJob(b, bk, 70+i/49)
		for n := range 70 {
			do(b, bk, id, n, event(progress.Done, n+1))
		}
	}
	require.NoError(b, bk.Close())
	return path
}

// spread runs f b.N times, each time after prepare, and reports how long half and 99 of 100 runs of f take at most, in
// milliseconds.
func spread(b *testing.B, prepare, f func(i int)) {
	took := make([]time.Duration, 0, 1024)
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		b.StopTimer()
		prepare(i)
		b.StartTimer()
		start := time.Now()
		f(i)
		took = append(took, time.Since(start))
	}
	b.StopTimer()
	slices.Sort(took)
	ms := func(part float64) float64 { return took[int(part*float64(len(took)-1))].Seconds() * 1000 }
	b.ReportMetric(ms(0.5), "p50-ms")
	b.ReportMetric(ms(0.99), "p99-ms")
}

// BenchmarkAppend writes the events of jobs of 70 steps, each to the disk. Run it with -benchtime=2000x or more for a
// p99 that means something, and with TMPDIR on the disk that is meant.
func BenchmarkAppend(b *testing.B) {
	bk := fresh(b)
	var id int64
	spread(b, func(i int) {
		if i%70 == 0 {
			id = newJob(b, bk, 70)
		}
	}, func(i int) {
		n := i % 70
		if err := bk.Append(context.Background(), id, n, event(progress.Done, n+1)); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkAppendGrows writes events of a job that has so many events, and of one in a book of so many jobs.
func BenchmarkAppendGrows(b *testing.B) {
	on := func(b *testing.B, bk *Book, id int64, known int) { // steps done and taken back
		spread(b, func(int) {}, func(i int) {
			e := event(progress.Back, 2)
			if (known+i)%2 == 0 {
				e = event(progress.Done, 1)
			}
			require.NoError(b, bk.Append(context.Background(), id, known+i, e))
		})
	}
	for _, events := range []int{0, 100, 1000} {
		b.Run(fmt.Sprintf("%d events", events), func(b *testing.B) {
			bk := fresh(b)
			id := newJob(b, bk, 70)
			sqlExec(b, bk.db, "PRAGMA synchronous = OFF") // only to fill it faster
			for i := range events {
				do(b, bk, id, i, []progress.Event{event(progress.Done, 1), event(progress.Back, 2)}[i%2])
			}
			sqlExec(b, bk.db, "PRAGMA synchronous = FULL")
			on(b, bk, id, events)
		})
	}
	for _, jobs := range []int{100, 1000, 20_000} {
		b.Run(fmt.Sprintf("%d jobs", jobs), func(b *testing.B) {
			bk := open(b, BigBook(b, jobs))
			on(b, bk, newJob(b, bk, 70), 0)
		})
	}
}

// BenchmarkAppendAfterMishap writes the events of jobs of which another plan is followed since their first step.
func BenchmarkAppendAfterMishap(b *testing.B) {
	bk := fresh(b)
	next := mended(invented(70), 1, 5)
	var id int64
	spread(b, func(i int) {
		if i%70 == 0 {
			id = newJob(b, bk, 70)
			do(b, bk, id, 0, event(progress.Done, 1), mishap(2, next))
		}
	}, func(i int) {
		n := i % 70
		if err := bk.Append(context.Background(), id, n+2, event(progress.Done, n+2)); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkAppendMishap writes mishaps, each with a plan that the book has not got, to jobs of 70 steps half done.
func BenchmarkAppendMishap(b *testing.B) {
	bk := fresh(b)
	half := make([]progress.Event, 35)
	for n := range half {
		half[n] = event(progress.Done, n+1)
	}
	next := mended(invented(70), 35, 5)
	var id int64
	spread(b, func(i int) {
		id = newJob(b, bk, 70)
		do(b, bk, id, 0, half...)
		next.Plan = strconv.Itoa(i)
	}, func(int) {
		if err := bk.Append(context.Background(), id, 35, mishap(36, next)); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkOpenAndList is what the bench does at its start.
func BenchmarkOpenAndList(b *testing.B) {
	path := filled(b)
	spread(b, func(int) {}, func(int) {
		bk, err := Open(context.Background(), path)
		if err != nil {
			b.Fatal(err)
		}
		if list, err := bk.Jobs(context.Background(), Filter{State: progress.Open}); err != nil || len(list) != 1 {
			b.Fatal(len(list), err)
		}
		bk.Close()
	})
}

// BenchmarkJob reads one job with its plan and 70 events.
func BenchmarkJob(b *testing.B) {
	bk := open(b, filled(b))
	spread(b, func(int) {}, func(int) {
		if _, err := bk.Job(context.Background(), 50); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkExport writes 50 jobs of 70 events.
func BenchmarkExport(b *testing.B) {
	bk := open(b, filled(b))
	spread(b, func(int) {}, func(int) {
		if err := bk.Export(context.Background(), io.Discard); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkTake takes in what another bench wrote, of each job its record, plan, begin and 63 steps: row by row, as they come while all work,
// and in portions, as a new bench gets them.
func BenchmarkTake(b *testing.B) {
	ctx, there := context.Background(), fresh(b)
	sqlExec(b, there.db, "PRAGMA synchronous = OFF") // only to fill it faster
	require.NoError(b, there.Join(ctx, "K"))
	for i := range 40 {
		id := newJob(b, there, 70)
		for n := range 63 {
			do(b, there, id, n, event(progress.Done, n+1))
		}
		_, err := there.Add(ctx, records.KindPlayer, records.Fields{"name": strconv.Itoa(i)}, clock(i))
		require.NoError(b, err)
	}
	require.NoError(b, there.Seal(ctx))
	epoch, last, err := there.OwnEpoch(ctx)
	require.NoError(b, err)
	rows, err := there.Rows(ctx, epoch, 0, int(last))
	require.NoError(b, err)
	for _, portion := range []int{1, 500} {
		b.Run(strconv.Itoa(portion), func(b *testing.B) {
			taken := 0
			for range b.N {
				b.StopTimer()
				here := fresh(b)
				b.StartTimer()
				for part := range slices.Chunk(rows, portion) {
					took, err := here.Take(ctx, part, clock(1))
					require.NoError(b, err)
					taken += took.Rows
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(taken), "us/row")
		})
	}
}
