package shop

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// tellAll gives a book what another one wrote itself.
func tellAll(t *testing.T, from, to *book.Book) {
	t.Helper()
	ctx := context.Background()
	require.NoError(t, from.Seal(ctx))
	epoch, _, err := from.OwnEpoch(ctx)
	require.NoError(t, err)
	rows, err := from.Rows(ctx, epoch, 0, 1000)
	require.NoError(t, err)
	took, err := to.Take(ctx, rows, time.Now())
	require.NoError(t, err)
	require.Zero(t, took.Waiting)
}

// twoBenches are the shops of benches K and L, and a job that was opened at K.
func twoBenches(t *testing.T) (ctx context.Context, k, l *Shop, b Bench) {
	t.Helper()
	ctx, k, l = context.Background(), newShop(t), newShop(t)
	require.NoError(t, k.Book.Join(ctx, "K"))
	require.NoError(t, l.Book.Join(ctx, "L"))
	work, err := k.Demo()
	require.NoError(t, err)
	b, err = k.OpenFile(ctx, "job.toml", work)
	require.NoError(t, err)
	return ctx, k, l, b
}

// Who works on a racket that another bench took over is told which, and not of some other program.
func TestTakenOverIsSaid(t *testing.T) {
	ctx, k, l, b := twoBenches(t)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 1}))
	require.NoError(t, k.Book.Claim(ctx, book.Claim{Job: b.Recorder.Job(), Number: 1, Bench: "K", At: k.Now()}))
	tellAll(t, k.Book, l.Book)
	require.NoError(t, l.Book.Claim(ctx, book.Claim{Job: b.Recorder.Job(), Number: 2, Bench: "L", At: k.Now()}))
	require.Empty(t, b.Recorder.Alarm(ctx, true))
	tellAll(t, l.Book, k.Book)
	over := "TAKEN OVER by bench L at " + k.Now().Format("15:04") + ": "
	require.Contains(t, b.Recorder.Alarm(ctx, true), over)
	require.Contains(t, b.Recorder.Alarm(ctx, false), over)
	err := b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 2})
	require.ErrorContains(t, err, "bench L took job 1 over at")
	require.NotContains(t, err.Error(), "another program")
	require.NoError(t, k.Book.Claim(ctx, book.Claim{Job: b.Recorder.Job(), Number: 3, Bench: "K", At: k.Now()}))
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 2}))
	require.Empty(t, b.Recorder.Alarm(ctx, false), "the event has asked")
}

// Who marks a step before his screen has heard that the racket was taken over is told by the step.
func TestTheEventTellsWhoTookOver(t *testing.T) {
	ctx, k, l, b := twoBenches(t)
	require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 1}))
	require.NoError(t, k.Book.Claim(ctx, book.Claim{Job: b.Recorder.Job(), Number: 1, Bench: "K", At: k.Now()}))
	tellAll(t, k.Book, l.Book)
	require.NoError(t, l.Book.Claim(ctx, book.Claim{Job: b.Recorder.Job(), Number: 2, Bench: "L", At: k.Now()}))
	tellAll(t, l.Book, k.Book)
	require.Empty(t, b.Recorder.Alarm(ctx, false))
	require.Error(t, b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 2}))
	require.Contains(t, b.Recorder.Alarm(ctx, false), "TAKEN OVER by bench L")
}

// Where two benches went on with a racket while one was alone both attempts are on both racks, each with who made it, and the racket is on
// the wall once. What other benches have in work is none of a bench's own.
func TestTwoAttempts(t *testing.T) {
	ctx, k, l, b := twoBenches(t)
	step := func(b Bench, n int) {
		t.Helper()
		require.NoError(t, b.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: n}))
	}
	step(b, 1)
	_, err := k.Book.Add(ctx, records.KindJob, records.Fields{"frame": "club-sixteen"}, k.Now()) // one that waits, with a number of its own
	require.NoError(t, err)
	job := b.Recorder.Job()
	require.NoError(t, k.Book.Claim(ctx, book.Claim{Job: job, Number: 1, Bench: "K", At: k.Now()}))
	step(b, 2)
	tellAll(t, k.Book, l.Book)
	require.NoError(t, l.Book.Claim(ctx, book.Claim{Job: job, Number: 2, Bench: "L", At: k.Now()}))
	at, err := l.Open(ctx, job)
	require.NoError(t, err)
	step(b, 3)
	step(at, 3)
	tellAll(t, l.Book, k.Book)
	tellAll(t, k.Book, l.Book)
	for bench, s := range map[string]*Shop{"K": k, "L": l} {
		list, _, err := s.Rack(ctx, nil)
		require.NoError(t, err)
		require.Equal(t, []bool{true, true}, []bool{list[0].Begun, list[1].Begun})
		for _, r := range list[:2] {
			require.Equal(t, r.UID != job, strings.Contains(r.Mark, "another attempt of bench K, "), r.Mark)
			require.Equal(t, bench == "K", strings.Contains(r.Held, "bench L has had it since"), r.Held)
			require.Equal(t, bench == "K", strings.HasSuffix(r.Short, "/64, "+r.Held), r.Short)
			require.Equal(t, bench == "K", strings.Contains(r.Mark, "last step"), r.Mark)
		}
		w, err := s.Wall(ctx, Initials)
		require.NoError(t, err)
		require.Len(t, w.Lines, 1)
		require.Equal(t, "L", w.Lines[0].Bench)
		others, err := s.others(ctx, 0)
		require.NoError(t, err)
		require.Len(t, others, map[string]int{"K": 0, "L": 2}[bench], "what it has itself")
	}

	// K takes the racket over again and goes on with what it did.
	list, open, err := k.Rack(ctx, nil)
	require.NoError(t, err)
	for i, r := range list[:2] {
		if r.UID == job {
			continue
		}
		require.NoError(t, k.Book.Claim(ctx, book.Claim{Job: book.Root(r.UID), Number: 3, Bench: "K", At: k.Now()}))
		mine, err := open[i](ctx)
		require.NoError(t, err)
		step(mine, 4)
	}
	tellAll(t, k.Book, l.Book)
	require.ErrorContains(t, at.Recorder.Record(ctx, progress.Event{At: k.Now(), Kind: progress.Done, Step: 4}), "bench K took job 1 over at")
}
