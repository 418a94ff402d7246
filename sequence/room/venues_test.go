package room_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/room"
	"pullcard/sequence/room/roomtest"
)

// traffic counts what goes between benches and rooms.
type traffic struct {
	up, down           int // rows
	bytesUp, bytesDown int
}

// metered is a room that counts.
type metered struct {
	room.Room
	of *traffic
}

func size(rows []book.Row) (bytes int) {
	for _, r := range rows {
		bytes += len(r.Body) + len(r.Epoch) + len(r.Kind) + len(r.Bench) + len(r.Hash) + len(r.Digest) + 8
	}
	return bytes
}

func (m metered) Append(ctx context.Context, rows []book.Row) error {
	m.of.up, m.of.bytesUp = m.of.up+len(rows), m.of.bytesUp+size(rows)
	return m.Room.Append(ctx, rows)
}

func (m metered) Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error) {
	rows, err := m.Room.Fetch(ctx, after, limit)
	m.of.down, m.of.bytesDown = m.of.down+len(rows), m.of.bytesDown+size(rows)
	return rows, err
}

// BenchmarkVenues has 25 venues of 40 benches each at work, every bench at a racket of its own of which it does four steps, on rooms in
// memory. After each step everybody in the room takes in what the others did. It says what goes between a bench and its room for a step,
// and sees that all have the same at the end. Run it with -benchtime=1x.
func BenchmarkVenues(b *testing.B) {
	const venues, benches, steps = 25, 40, 4
	ctx, books := context.Background(), &shelf{t: b}
	for b.Loop() {
		var sum traffic
		for range venues {
			of := &traffic{}
			mem := roomtest.NewMemory(time.Now)
			var all []*atWork
			var syncers []*room.Syncer
			each := func(do func(int)) {
				for i := range benches {
					do(i)
				}
			}
			round := func(i int) {
				_, err := syncers[i].Round(ctx)
				require.NoError(b, err)
			}
			each(func(i int) {
				name := fmt.Sprint("B", i)
				w := &atWork{Book: books.take(b, name)}
				all, syncers = append(all, w), append(syncers, &room.Syncer{Book: w.Book, Room: metered{mem.As(name), of}, Now: time.Now})
				w.begin(b, 64)
			})
			each(round)
			each(round)
			before := *of
			for n := range steps {
				each(func(i int) {
					require.NoError(b, all[i].Append(ctx, all[i].job, n, progress.Event{At: time.Now(), Kind: progress.Done, Step: n + 1}))
				})
				each(round)
			}
			each(round)
			sum.up, sum.down = sum.up+of.up-before.up, sum.down+of.down-before.down
			sum.bytesUp, sum.bytesDown = sum.bytesUp+of.bytesUp-before.bytesUp, sum.bytesDown+of.bytesDown-before.bytesDown
			want, err := all[0].Vector(ctx)
			require.NoError(b, err)
			each(func(i int) {
				got, err := all[i].Vector(ctx)
				require.NoError(b, err)
				require.Equal(b, want, got)
			})
			books.back(b)
		}
		done := float64(venues * benches * steps)
		b.ReportMetric(float64(sum.up)/done, "rows-given/step")
		b.ReportMetric(float64(sum.down)/done, "rows-taken/step")
		b.ReportMetric(float64(sum.bytesUp)/float64(sum.up), "bytes/row")
		b.ReportMetric(float64(sum.bytesDown)/done/1000, "KB-taken/step")
	}
}
