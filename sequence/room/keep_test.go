package room_test

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/room"
	"pullcard/sequence/room/roomtest"
)

// faulty is a room that can be cut off, or hang.
type faulty struct {
	room.Room
	mu   sync.Mutex
	err  error
	hang chan struct{} // closed when the room answers again
}

var errCut = errors.New("the cable is out")

func (f *faulty) set(err error, hang bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.err = err; f.hang != nil {
		close(f.hang)
		f.hang = nil
	}
	if hang {
		f.hang = make(chan struct{})
	}
}

func (f *faulty) pass(ctx context.Context) error {
	f.mu.Lock()
	err, hang := f.err, f.hang
	f.mu.Unlock()
	if hang == nil {
		return err
	}
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-hang:
		return nil
	}
}

func (f *faulty) Enter(ctx context.Context, epoch, last, next string) error {
	if err := f.pass(ctx); err != nil {
		return err
	}
	return f.Room.Enter(ctx, epoch, last, next)
}

func (f *faulty) Fetch(ctx context.Context, after book.Vector, limit int) ([]book.Row, error) {
	if err := f.pass(ctx); err != nil {
		return nil, err
	}
	return f.Room.Fetch(ctx, after, limit)
}

func (f *faulty) Claim(ctx context.Context, job string, over int) (int, error) {
	if err := f.pass(ctx); err != nil {
		return 0, err
	}
	return f.Room.Claim(ctx, job, over)
}

// running is a bench with a keeper at work.
type running struct {
	*room.Keeper
	b    *book.Book
	room *faulty
	said chan room.Status
	fast atomic.Int64 // how much its clock is fast
}

func run(t *testing.T, mem *roomtest.Memory, bench string) *running {
	t.Helper()
	return beside(t, mem.As(bench), bench)
}

func beside(t *testing.T, at room.Room, bench string) *running {
	t.Helper()
	r := &running{b: newBench(t, bench), room: &faulty{Room: at}, said: make(chan room.Status, 10_000)}
	r.Keeper = room.NewKeeper(room.Syncer{Book: r.b, Room: r.room, Now: func() time.Time { return time.Now().Add(time.Duration(r.fast.Load())) }}, bench, func(s room.Status) { r.said <- s })
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan struct{})
	go func() {
		defer close(over)
		r.Run(ctx)
	}()
	t.Cleanup(func() { cancel(); <-over })
	return r
}

// until waits for something that the keeper tells.
func (r *running) until(t *testing.T, what string, is func(room.Status) bool) room.Status {
	t.Helper()
	for {
		select {
		case s := <-r.said:
			if is(s) {
				return s
			}
		case <-time.After(10 * time.Second):
			t.Fatalf("it never tells: %s", what)
		}
	}
}

func TestKeeper(t *testing.T) {
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
	k, l := run(t, mem, "K"), run(t, mem, "L")
	p := player(t, k.b, "Ada (invented)", clock(1))
	l.until(t, "news", func(s room.Status) bool { return s.News })
	got, err := l.b.Record(ctx, p.UID)
	require.NoError(t, err)
	assert.Equal(t, p.Fields, got.Fields)

	k.room.set(errCut, false)
	player(t, k.b, "Bo (invented)", clock(2))
	s := k.until(t, "alone", func(s room.Status) bool { return !s.Alone.IsZero() && s.Waiting == 1 })
	require.ErrorIs(t, s.Err, errCut)
	player(t, k.b, "Cy (invented)", clock(3))
	k.until(t, "more waits", func(s room.Status) bool { return s.Waiting == 2 })
	k.room.set(nil, false)
	k.until(t, "together", func(s room.Status) bool { return s.Alone.IsZero() && s.Waiting == 0 })
	l.until(t, "what waited", func(room.Status) bool {
		list, err := l.b.Find(ctx, records.KindPlayer, "", 0)
		require.NoError(t, err)
		return len(list) == 3
	})
}

// Between full rounds too the room hears what a bench has, so that who asks is not told for minutes that it is behind.
func TestKeeperSaysWhatItHas(t *testing.T) {
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
	k, l := run(t, mem, "K"), run(t, mem, "L")
	epoch, _, err := k.b.OwnEpoch(ctx)
	require.NoError(t, err)
	for n := range 3 { // two go after the full rounds with which they begin
		k.fast.Store(int64(n) * int64(time.Minute))
		l.fast.Store(int64(n) * int64(time.Minute))
		player(t, k.b, "Ada (invented)", clock(n))
		require.Eventually(t, func() bool {
			list, err := mem.As("K").Members(ctx)
			require.NoError(t, err)
			return len(list) == 2 && list[0].Has[epoch] == int64(n+1) && list[1].Has[epoch] == int64(n+1)
		}, 10*time.Second, 5*time.Millisecond)
	}
}

// Taking a racket is decided by the room; where that does not answer nobody waits for it.
func TestKeeperTakes(t *testing.T) {
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
	k, l := run(t, mem, "K"), run(t, mem, "L")
	_, err := k.b.NewJob(ctx, book.Draft{At: clock(1), Plan: invented(3)})
	require.NoError(t, err)
	list, err := k.b.Jobs(ctx, book.Filter{})
	require.NoError(t, err)
	job := list[0].UID
	k.Want(job)
	holder := func(r *running, bench string, number int) {
		r.until(t, bench+" has it", func(room.Status) bool {
			claims, err := r.b.Claims(ctx)
			require.NoError(t, err)
			return claims[job].Bench == bench && claims[job].Number == number
		})
	}
	holder(l, "K", 1)
	reached, err := l.Take(ctx, job, false)
	var held *room.HeldError
	require.ErrorAs(t, err, &held)
	assert.True(t, reached)
	assert.Equal(t, "K", held.Bench)
	reached, err = l.Take(ctx, job, true)
	require.NoError(t, err)
	assert.True(t, reached)
	holder(k, "L", 2)

	k.room.set(nil, true)
	reached, err = k.Take(ctx, job, true)
	require.NoError(t, err)
	assert.False(t, reached, "the room hangs, and the bench goes on")
	claims, err := k.b.Claims(ctx)
	require.NoError(t, err)
	assert.Equal(t, []any{"K", 3}, []any{claims[job].Bench, claims[job].Number}, "it has the racket, so that its keys are kept")
	k.room.set(nil, false)
	holder(l, "K", 3)

	l.room.set(errCut, false)
	player(t, l.b, "Ada (invented)", clock(2))
	l.until(t, "alone", func(s room.Status) bool { return !s.Alone.IsZero() })
	other, err := l.b.NewJob(ctx, book.Draft{At: clock(2), Plan: invented(4)})
	require.NoError(t, err)
	j, err := l.b.Job(ctx, other)
	require.NoError(t, err)
	_, err = l.Take(ctx, j.UID, false)
	require.NoError(t, err, "it is asked for when the room is back")
	l.room.set(nil, false)
	k.until(t, "L has the other", func(room.Status) bool {
		claims, err := k.b.Claims(ctx)
		require.NoError(t, err)
		return claims[j.UID].Bench == "L"
	})
}
