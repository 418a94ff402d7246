package shop

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// A day at a bench whose clock is set back and forward by hours at any moment: every event is kept, in the order in which it was done; what
// was said or counted last holds, also in a book that takes all of it in; and no page shows a time below nought.
func TestClockStepsAtTheDesk(t *testing.T) {
	for seed := range sweep.Share(24, 12) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			ctx, random := context.Background(), rand.New(rand.NewPCG(uint64(seed), 1))
			c, now := newTill(t), time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)
			steps := 0
			c.Now = func() time.Time {
				now = now.Add(time.Minute)
				if random.IntN(5) == 0 {
					steps++
					now = now.Add(time.Duration(random.IntN(600)-300) * time.Minute)
				}
				return now
			}
			var last string
			left := 200_000.0
			speak := func() {
				last = fmt.Sprint("number ", random.IntN(1e9))
				_, err := c.Correct(ctx, c.player, book.Change{Fields: records.Fields{"notes": last}, At: c.Now()})
				require.NoError(t, err)
			}
			count := func() {
				left -= 1000
				_, err := c.Add(ctx, records.KindStocktaking, records.Fields{"stock": c.round, "left": Metres(left)}, c.Now())
				require.NoError(t, err)
			}
			cut := func() {
				left -= 500
				_, err := c.Add(ctx, records.KindCut, records.Fields{"stock": c.round, "length": "0.5 m", "for": "offcut"}, c.Now())
				require.NoError(t, err)
			}
			holds := func(b *book.Book) {
				r, err := b.Record(ctx, c.player)
				require.NoError(t, err)
				require.Equal(t, last, r.Fields["notes"])
				shelf, err := b.Shelf(ctx, c.round)
				require.NoError(t, err)
				require.InDelta(t, left, shelf.Left(), 1e-6)
			}
			r, err := c.job(records.Fields{"technique": "two-piece-skip", "tension": "24 kg"})
			require.NoError(t, err)
			job, err := c.Open(ctx, r.UID)
			require.NoError(t, err)
			for n := range job.Plan.Steps {
				require.NoError(t, job.Recorder.Record(ctx, progress.Event{At: c.Now(), Kind: progress.Done, Step: n + 1}))
				if n%16 == 5 {
					for _, do := range []func(){speak, count, cut} {
						do()
						holds(c.Book)
					}
					noTimeBelowNought(t, c.Shop)
					job, err = c.Open(ctx, r.UID)
					require.NoError(t, err)
					require.Len(t, job.Events, n+1)
				}
			}
			job, err = c.Open(ctx, r.UID)
			require.NoError(t, err)
			for n, e := range job.Events {
				require.Equal(t, n+1, e.Step)
			}
			t.Log("the clock was set", steps, "times")
			require.Greater(t, steps, 10)
			noTimeBelowNought(t, c.Shop)

			file := filepath.Join(t.TempDir(), "all.jsonl")
			require.NoError(t, c.Book.ExportAll(ctx, file, nil))
			other := newShop(t)
			_, err = other.Book.Import(ctx, file, now.Add(-48*time.Hour), nil)
			require.NoError(t, err)
			holds(other.Book)
			for _, b := range []*book.Book{c.Book, other.Book} {
				found, err := b.Check(ctx, nil)
				require.NoError(t, err)
				require.Empty(t, found.Findings)
			}
		})
	}
}

// noTimeBelowNought holds that no list or page of a shop shows a time below nought.
func noTimeBelowNought(t *testing.T, s *Shop) {
	t.Helper()
	ctx := context.Background()
	var shown []string
	queue, err := s.Queue(ctx)
	require.NoError(t, err)
	for _, w := range queue {
		require.NoError(t, w.Err)
		require.False(t, w.Slot.Ready.High.Before(w.Slot.Ready.Low))
		shown = append(shown, w.Title, w.Detail, w.Short, w.Slot.String())
	}
	rack, _, err := s.Rack(ctx, nil)
	require.NoError(t, err)
	for _, r := range rack {
		shown = append(shown, r.Title, r.Detail, r.Mark, r.Short, r.Held)
	}
	pages, err := s.TellDay(ctx, s.Now())
	require.NoError(t, err)
	stock, err := s.TellStock(ctx)
	require.NoError(t, err)
	pages = append(pages, stock...)
	due, err := s.TellDue(ctx, s.Now().AddDate(1, 0, 0))
	require.NoError(t, err)
	pages = append(pages, due...)
	for _, kind := range []records.Name{records.KindPlayer, records.KindRacket, records.KindMachine, records.KindStock, records.KindJob} {
		list, err := s.Book.Find(ctx, kind, "", 0)
		require.NoError(t, err)
		for _, r := range list {
			p, err := s.Page(ctx, r.UID)
			require.NoError(t, err)
			pages = append(pages, p.Tell()...)
		}
	}
	for _, p := range pages {
		for _, l := range p.Lines {
			shown = append(shown, l.Text)
		}
	}
	require.NotRegexp(t, `[-−]\d+(\.\d+)? (s|min|h|hours?|days?|weeks?)\b`, strings.Join(shown, "\n"))
}
