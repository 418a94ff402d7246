package room_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
)

// errDead is what comes of a call at which a bench was killed.
var errDead = errors.New("killed")

// dying is a room whose bench is killed at a call, before the room heard of it or after it did it.
type dying struct {
	room.Room
	left  int
	after bool
}

// call does a call, unless the bench is dead by then.
func (d *dying) call(do func() error) error {
	d.left--
	if d.left < 0 || d.left == 0 && !d.after {
		return errDead
	}
	if err := do(); err != nil {
		return err
	}
	if d.left == 0 {
		return errDead
	}
	return nil
}

func (d *dying) Enter(ctx context.Context, epoch, last, next string) error {
	return d.call(func() error { return d.Room.Enter(ctx, epoch, last, next) })
}

func (d *dying) Vector(ctx context.Context) (v book.Vector, err error) {
	return v, d.call(func() error { v, err = d.Room.Vector(ctx); return err })
}

func (d *dying) Append(ctx context.Context, rows []book.Row) error {
	return d.call(func() error { return d.Room.Append(ctx, rows) })
}

func (d *dying) Fetch(ctx context.Context, after book.Vector, limit int) (rows []book.Row, err error) {
	return rows, d.call(func() error { rows, err = d.Room.Fetch(ctx, after, limit); return err })
}

func (d *dying) Forget(ctx context.Context, rows []book.Place) error {
	return d.call(func() error { return d.Room.Forget(ctx, rows) })
}

func (d *dying) Acknowledge(ctx context.Context, have book.Vector) error {
	return d.call(func() error { return d.Room.Acknowledge(ctx, have) })
}

// A bench that is killed at any call of a round goes on in the next one as though nothing had been.
func TestKilledAtEachCall(t *testing.T) {
	ctx, mem := context.Background(), room.NewMemory(time.Now)
	k, l := newBench(t, "K"), newBench(t, "L")
	syncer := func(b *book.Book, r room.Room) *room.Syncer {
		return &room.Syncer{Book: b, Room: r, Now: time.Now, Portion: 2}
	}
	n := 0
	for _, after := range []bool{false, true} {
		for call, ended := 1, false; !ended; call++ {
			require.Less(t, call, 50, "a round has no end")
			for range 3 {
				n++
				player(t, k, fmt.Sprint("Player ", n, " (invented)"), clock(n))
				player(t, l, fmt.Sprint("Other ", n, " (invented)"), clock(n))
			}
			if call == 3 {
				_, err := k.Forget(ctx, player(t, k, "Gone (invented)", clock(n)).UID)
				require.NoError(t, err)
			}
			_, err := syncer(l, mem.As("L")).Round(ctx)
			require.NoError(t, err)
			_, err = syncer(k, &dying{mem.As("K"), call, after}).Round(ctx)
			if ended = err == nil; !ended {
				require.ErrorIs(t, err, errDead)
			}
			for _, b := range []*book.Book{k, l, k} {
				name := map[*book.Book]string{k: "K", l: "L"}[b]
				_, err := syncer(b, mem.As(name)).Round(ctx)
				require.NoError(t, err, "call %d", call)
			}
			require.Equal(t, whole(t, k), whole(t, l), "call %d", call)
		}
	}
}

// Two programs with one book, each with a syncer, are one bench all the same.
func TestTwoSyncersOfOneBook(t *testing.T) {
	ctx, mem := context.Background(), room.NewMemory(time.Now)
	b := newBench(t, "K")
	same := openBook(t, b.Path())
	var done sync.WaitGroup
	for i, of := range []*book.Book{b, same} {
		done.Go(func() {
			s := &room.Syncer{Book: of, Room: mem.As("K"), Now: time.Now}
			for n := range 10 {
				player(t, of, fmt.Sprint("Player ", i, " ", n, " (invented)"), clock(n))
				_, err := s.Round(ctx)
				assert.NoError(t, err)
			}
		})
	}
	done.Wait()
	l := newBench(t, "L")
	_, err := (&room.Syncer{Book: l, Room: mem.As("L"), Now: time.Now}).Round(ctx)
	require.NoError(t, err)
	require.Equal(t, whole(t, b), whole(t, l))
}

// worked has two benches write and sync while something happens to the server, and holds that nothing is lost when it is over.
func worked(t *testing.T, o *onServer, at func(bench string) *postgres.Target, trouble func()) {
	t.Helper()
	ctx := context.Background()
	var over atomic.Bool
	var done sync.WaitGroup
	books, said := map[string]*book.Book{}, sync.Map{}
	for _, name := range []string{"K", "L"} {
		b := newBench(t, name)
		books[name] = b
		seat := postgres.Join(at(name), name)
		done.Go(func() {
			defer seat.Close()
			s := &room.Syncer{Book: b, Room: seat, Now: time.Now, Portion: 3}
			for n := 0; !over.Load(); n++ {
				r := player(t, b, fmt.Sprint(name, " ", n, " (invented)"), clock(n))
				said.Store(r.UID, true) // the screen showed it
				_, _ = s.Round(ctx)
			}
		})
	}
	trouble()
	over.Store(true)
	done.Wait()
	for range 2 {
		for name, b := range books {
			seat := postgres.Join(target(t, o.server.URL(o.login(name, "desk"), o.database)), name)
			_, err := (&room.Syncer{Book: b, Room: seat, Now: time.Now}).Round(ctx)
			seat.Close()
			require.NoError(t, err)
		}
	}
	all := whole(t, books["K"])
	require.Equal(t, all, whole(t, books["L"]))
	said.Range(func(uid, _ any) bool {
		require.Contains(t, all, uid)
		return true
	})
	require.Greater(t, len(all), 1)
}

// hurried has little patience.
func hurried(t *testing.T, url string) *postgres.Target {
	l := postgres.Usual()
	l.Connect, l.Statement, l.Poll = time.Second, time.Second, 100*time.Millisecond
	at, err := postgres.At(url, l)
	require.NoError(t, err)
	return at
}

// The server may be killed at any moment: 100 times in a sweep.
func TestServerKilled(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	worked(t, o, func(name string) *postgres.Target { return hurried(t, o.server.URL(logins[name], o.database)) }, func() {
		r := rand.New(rand.NewPCG(1, 15))
		for range 100 {
			time.Sleep(time.Duration(20+r.IntN(200)) * time.Millisecond)
			o.server.Kill()
			require.NoError(t, o.server.Run())
		}
	})
}

// A server that is stopped lets nobody wait: what is written here is written at once, and what waited is given when it is let go on.
func TestServerStopped(t *testing.T) {
	o := newOnServer(t)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	worked(t, o, func(name string) *postgres.Target {
		l := postgres.Usual()
		l.Connect, l.Statement = 200*time.Millisecond, 200*time.Millisecond
		at, err := postgres.At(o.server.URL(logins[name], o.database), l)
		require.NoError(t, err)
		return at
	}, func() {
		time.Sleep(100 * time.Millisecond)
		require.NoError(t, o.server.Signal(syscall.SIGSTOP))
		defer func() { require.NoError(t, o.server.Signal(syscall.SIGCONT)) }()
		b := newBench(t, "M")
		k := room.NewKeeper(room.Syncer{Book: b, Room: postgres.Join(hurried(t, o.server.URL(logins["K"], o.database)), "M"), Now: time.Now}, "M", nil)
		ctx, cancel := context.WithCancel(context.Background())
		gone := make(chan struct{})
		go func() { defer close(gone); k.Run(ctx) }()
		for n := range 20 {
			player(t, b, fmt.Sprint("M ", n, " (invented)"), clock(n))
		}
		n, err := k.Syncer.Waiting(ctx)
		require.NoError(t, err)
		assert.Equal(t, int64(20), n)
		cancel()
		<-gone
	})
}

// cutting is a proxy that cuts each connection after so many bytes.
func cutting(t *testing.T, to string, r *rand.Rand) (port int) {
	t.Helper()
	in, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { in.Close() })
	var mu sync.Mutex
	bytes := func() int64 {
		mu.Lock()
		defer mu.Unlock()
		return int64(r.IntN(20_000))
	}
	go func() {
		for {
			c, err := in.Accept()
			if err != nil {
				return
			}
			go func() {
				defer c.Close()
				out, err := net.Dial("tcp", to)
				if err != nil {
					return
				}
				defer out.Close()
				there, back := make(chan struct{}), make(chan struct{})
				go func() { defer close(there); _, _ = io.CopyN(out, c, bytes()) }()
				go func() { defer close(back); _, _ = io.CopyN(c, out, bytes()) }()
				select { // whichever has had enough cuts both
				case <-there:
				case <-back:
				}
			}()
		}
	}()
	return in.Addr().(*net.TCPAddr).Port
}

// A connection may break at any byte.
func TestConnectionCut(t *testing.T) {
	o := newOnServer(t)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	port := cutting(t, fmt.Sprintf("127.0.0.1:%d", o.server.Port), rand.New(rand.NewPCG(2, 15)))
	worked(t, o, func(name string) *postgres.Target {
		return hurried(t, fmt.Sprintf("postgres://%s@127.0.0.1:%d/%s?sslmode=disable", logins[name], port, o.database))
	}, func() { time.Sleep(time.Duration(sweep.Share(20_000, 40)) * time.Millisecond) })
}
