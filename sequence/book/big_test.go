package book

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book/booktest"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// BigBook makes a book of so many jobs of 64 steps, of which the last ten are open. TestBigBook holds that it is a book.
func BigBook(tb testing.TB, jobs int) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "big")
	b := open(tb, path)
	newJob(tb, b, 64) // whose plan all have
	require.NoError(tb, b.Close())
	booktest.Fill(tb, path, jobs-1, booktest.Like{Steps: 64, Frame: "Invented sixteen", Technique: "Two pieces", Source: "mains = '24 kg'\n", Open: 10, From: clock(0)})
	return path
}

func TestBigBook(t *testing.T) {
	sweep.Only(t)
	b := open(t, BigBook(t, 40))
	requireSound(t, b)
	list, err := b.Jobs(context.Background(), Filter{State: progress.Open})
	require.NoError(t, err)
	require.Len(t, list, 11)
	do(t, b, list[0].ID, 32, event(progress.Done, 33))
}

// BenchmarkBig is what a house asks of a book of 20,000 jobs.
func BenchmarkBig(b *testing.B) {
	ctx, path := context.Background(), BigBook(b, 20_000)
	b.Run("OpenAndList", func(b *testing.B) {
		spread(b, func(int) {}, func(int) {
			bk, err := Open(ctx, path)
			require.NoError(b, err)
			list, err := bk.Jobs(ctx, Filter{State: progress.Open})
			require.NoError(b, err)
			require.NotEmpty(b, list)
			require.NoError(b, bk.Close())
		})
	})
	bk := open(b, path)
	players, err := bk.Find(ctx, records.KindPlayer, "", 0)
	require.NoError(b, err)
	machines, err := bk.Find(ctx, records.KindMachine, "", 0)
	require.NoError(b, err)
	for name, work := range map[string]func(i int) (int, error){
		"FindPlayer": func(i int) (int, error) {
			list, err := bk.Find(ctx, records.KindPlayer, fmt.Sprint("player ", i%2000), 20)
			return len(list), err
		},
		"FindPlayerByALetter": func(i int) (int, error) {
			list, err := bk.Find(ctx, records.KindPlayer, string(rune('a'+i%26)), 20)
			return len(list), err
		},
		"History": func(i int) (int, error) {
			list, err := bk.History(ctx, records.Job{Player: players[i%len(players)].UID})
			return len(list), err
		},
		"Series200": func(i int) (int, error) {
			list, err := bk.Series(ctx, records.Job{Machine: machines[i%3].UID}, 200)
			return len(list), err
		},
		"SeriesAll": func(i int) (int, error) {
			list, err := bk.Series(ctx, records.Job{Machine: machines[i%3].UID}, 0)
			return len(list), err
		},
	} {
		b.Run(name, func(b *testing.B) {
			spread(b, func(int) {}, func(i int) {
				n, err := work(i)
				require.NoError(b, err)
				require.Positive(b, n)
			})
		})
	}
	b.Run("AppendWhileCopied", func(b *testing.B) { appendWhileCopied(b, bk) })
	b.Run("Backup", func(b *testing.B) {
		dir := b.TempDir()
		spread(b, func(int) {}, func(i int) { require.NoError(b, bk.Backup(ctx, filepath.Join(dir, fmt.Sprint(b.N, i)), nil)) })
	})
	b.Run("Check", func(b *testing.B) {
		spread(b, func(int) {}, func(int) { requireSound(b, bk) })
	})
	b.Run("ExportAllAndImport", func(b *testing.B) {
		spread(b, func(int) {}, func(int) {
			whole := takenOut(b, bk)
			start := time.Now()
			_, err := fresh(b).Import(ctx, whole, clock(0), nil)
			require.NoError(b, err)
			b.ReportMetric(time.Since(start).Seconds(), "import-s")
			start = time.Now()
			_, err = bk.Import(ctx, whole, clock(0), nil)
			require.NoError(b, err)
			b.ReportMetric(time.Since(start).Seconds(), "again-s")
		})
	})
}

// appendWhileCopied writes events while somebody makes one copy of the book after another.
func appendWhileCopied(b *testing.B, bk *Book) {
	ctx, stop := context.WithCancel(context.Background())
	dir, copies, ended := b.TempDir(), 0, make(chan struct{})
	go func() {
		defer close(ended)
		for ctx.Err() == nil {
			path := filepath.Join(dir, fmt.Sprint(copies))
			if bk.Backup(ctx, path, nil) == nil {
				copies++
				_ = gone(path)
			}
		}
	}()
	var id int64
	spread(b, func(i int) {
		if i%70 == 0 {
			id = newJob(b, bk, 70)
		}
	}, func(i int) {
		require.NoError(b, bk.Append(context.Background(), id, i%70, event(progress.Done, i%70+1)))
	})
	stop()
	<-ended
	b.ReportMetric(float64(copies), "copies")
}
