package room_test

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os/exec"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
	"pullcard/sequence/room/roomtest"
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
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
	k, l := newBench(t, "K"), newBench(t, "L")
	syncer := func(b *book.Book, r room.Room) *room.Syncer {
		return &room.Syncer{Book: b, Room: r, Now: time.Now, Portion: 2}
	}
	n, tried := 0, 0
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
			tried++
		}
	}
	t.Logf("killed at %d calls, before the room heard of it or after", tried-2)
}

// Two programs with one book, each with a syncer, are one bench all the same.
func TestTwoSyncersOfOneBook(t *testing.T) {
	ctx, mem := context.Background(), roomtest.NewMemory(time.Now)
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

// worked has two benches write and sync while something happens to the server, and holds that nothing is lost when it is over. It gives
// how many rounds broke on their way.
func worked(t *testing.T, o *onServer, at func(bench string) *postgres.Target, trouble func()) int64 {
	t.Helper()
	ctx := context.Background()
	var over atomic.Bool
	var rounds, broke atomic.Int64
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
				rounds.Add(1)
				_, err := s.Round(ctx)
				if never := (*pgconn.ConnectError)(nil); err != nil && !errors.As(err, &never) {
					broke.Add(1)
				}
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
	kept := 0
	said.Range(func(uid, _ any) bool {
		require.Contains(t, all, uid)
		kept++
		return true
	})
	require.Positive(t, kept)
	t.Logf("%d changes that a screen showed, all kept; %d rounds, of which %d broke on their way", kept, rounds.Load(), broke.Load())
	return broke.Load()
}

// hurried has little patience.
func hurried(t *testing.T, url string) *postgres.Target {
	l := room.UsualLimits()
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
	broke := worked(t, o, func(name string) *postgres.Target { return hurried(t, o.server.URL(logins[name], o.database)) }, func() {
		r := rand.New(rand.NewPCG(1, 15))
		for range 100 {
			time.Sleep(time.Duration(20+r.IntN(200)) * time.Millisecond)
			o.server.Kill()
			require.NoError(t, o.server.Run())
		}
	})
	require.GreaterOrEqual(t, broke, int64(50), "it is killed in the middle of something")
}

// A server that is stopped in the middle of rounds lets nobody wait: what is written, taken and asked at a bench while it is stopped is done
// before it is let go on, and what waited is given then. 100 times in a sweep.
func TestServerStopped(t *testing.T) {
	sweep.Only(t)
	o, ctx := newOnServer(t), context.Background()
	logins := map[string]string{}
	for _, name := range []string{"K", "L", "M"} {
		logins[name] = o.login(name, "desk")
	}
	at := func(name string) *postgres.Target {
		l := room.UsualLimits()
		l.Connect, l.Statement = 150*time.Millisecond, 150*time.Millisecond
		at, err := postgres.At(o.server.URL(logins[name], o.database), l)
		require.NoError(t, err)
		return at
	}
	m := beside(t, postgres.Join(hurried(t, o.server.URL(logins["M"], o.database)), "M"), "M")
	var shown []string
	asked := 0
	broke := worked(t, o, at, func() {
		r := rand.New(rand.NewPCG(3, 15))
		for n := range 100 {
			time.Sleep(time.Duration(50+r.IntN(150)) * time.Millisecond)
			require.NoError(t, o.server.Signal(syscall.SIGSTOP))
			job, err := m.b.NewJob(ctx, book.Draft{At: clock(n), Plan: invented(3)})
			require.NoError(t, err)
			j, err := m.b.Job(ctx, job)
			require.NoError(t, err)
			require.NoError(t, m.b.Append(ctx, job, 0, progress.Event{At: clock(n), Kind: progress.Done, Step: 1}))
			shown = append(shown, "job "+j.UID, player(t, m.b, fmt.Sprint("M ", n, " (invented)"), clock(n)).UID)
			m.Want(j.UID)
			if n%4 == 0 {
				_, err = m.Take(ctx, j.UID, true)
				require.NoError(t, err)
				asked++
			}
			m.Status()
			time.Sleep(time.Duration(r.IntN(100)+n%2*400) * time.Millisecond) // shorter and longer than they have patience
			require.NoError(t, o.server.Signal(syscall.SIGCONT))
		}
	})
	require.GreaterOrEqual(t, broke, int64(30), "it is stopped in the middle of something")
	n := beside(t, postgres.Join(target(t, o.server.URL(o.login("N", "bench"), o.database)), "N"), "N")
	n.until(t, "the last has come", func(room.Status) bool { _, err := n.b.Record(ctx, shown[len(shown)-1]); return err == nil })
	all := whole(t, n.b)
	for _, uid := range shown {
		require.Contains(t, all, uid)
	}
	t.Logf("%d changes written while it was stopped, %d rackets taken, all there", len(shown), asked)
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
	sweep.Only(t)
	o := newOnServer(t)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	port := cutting(t, fmt.Sprintf("127.0.0.1:%d", o.server.Port), rand.New(rand.NewPCG(2, 15)))
	broke := worked(t, o, func(name string) *postgres.Target {
		return hurried(t, fmt.Sprintf("postgres://%s@127.0.0.1:%d/%s?sslmode=disable", logins[name], port, o.database))
	}, func() { time.Sleep(time.Duration(sweep.Share(20_000, 40)) * time.Millisecond) })
	require.Positive(t, broke, "nothing came between")
}

// A server whose disk is full refuses, and takes everything when there is room again.
func TestServerFull(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	if _, err := exec.LookPath("prlimit"); err != nil {
		t.Skip("SKIPPED: no prlimit (Debian: util-linux)")
	}
	// Files may not grow any more, which the server takes as a full disk; those of its log of writes are 16 MiB from the start.
	o.server.Exec(t, "admin", o.database, `SET session_replication_role = replica; BEGIN;
		INSERT INTO pullcard.bodies SELECT 'filler', n, convert_to(repeat(md5(n::text), 60), 'UTF8') FROM generate_series(1, 8704) n; ROLLBACK`)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	at := func(name string) *postgres.Target { return hurried(t, o.server.URL(logins[name], o.database)) }
	worked(t, o, at, func() {
		time.Sleep(50 * time.Millisecond)
		assert.NoError(t, o.server.Limit(17<<20))
		defer func() { assert.NoError(t, o.server.Limit(-1)) }()
		b, seat := newBench(t, "M"), postgres.Join(hurried(t, o.server.URL(o.login("M", "bench"), o.database)), "M")
		defer seat.Close()
		for n := range 200 { // until the last page is full
			player(t, b, fmt.Sprint("M ", n, " (invented)"), clock(n))
			if _, err := (&room.Syncer{Book: b, Room: seat, Now: time.Now}).Round(context.Background()); err != nil {
				assert.ErrorContains(t, err, "could not extend file")
				return
			}
		}
		assert.Fail(t, "the disk is never full")
	})
}

// A server may be put back from a copy again and again while benches work: each gives it again what it lost.
func TestServerRestoredAtWork(t *testing.T) {
	sweep.Only(t)
	o := newOnServer(t)
	logins := map[string]string{"K": o.login("K", "desk"), "L": o.login("L", "desk")}
	worked(t, o, func(name string) *postgres.Target { return hurried(t, o.server.URL(logins[name], o.database)) }, func() {
		for range 10 {
			time.Sleep(100 * time.Millisecond)
			back := o.Save()
			time.Sleep(300 * time.Millisecond)
			back()
		}
	})
}

// What a newer program wrote is kept and passed on as it came; the room may ask whoever writes for a newer program, and an older one
// goes on in a room that a newer one has added to.
func TestOlderAndNewerProgram(t *testing.T) {
	sweep.Only(t)
	ctx, o := context.Background(), newOnServer(t)
	seat := func(name string) *postgres.Room {
		r := postgres.Join(target(t, o.server.URL(o.login(name, "bench"), o.database)), name)
		t.Cleanup(r.Close)
		return r
	}
	rows := []book.Row{{Bench: "K", Epoch: "newer", Seq: 1, Kind: "novelty", Body: []byte(`{"what": "nobody here knows"}`)},
		{Bench: "K", Epoch: "newer", Seq: 2, Kind: "claim", Body: []byte(`{"job":"j","number":1,"bench":"K","at":"2031-05-04T09:00:00Z","colour":"blue"}`)},
		{Bench: "K", Epoch: "newer", Seq: 3, Kind: "record", Body: []byte(`{"uid":"k3","kind":"player","stamp":"2031-05-04T09:05:06.000000001Z old","over":[],"at":"2031-05-04T09:05:06Z","fields":{"name":"Di (invented)"}}`)}}
	hash := make([]byte, 32)
	for i := range rows {
		sum := sha256.Sum256(rows[i].Body)
		rows[i].Digest = sum[:]
		rows[i].Hash = rows[i].Chain(hash)
		hash = rows[i].Hash
	}
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET version = 99")
	require.NoError(t, seat("K").Append(ctx, rows))
	path := emptyFile(t)
	b := openBook(t, path)
	require.NoError(t, b.Renew(ctx)) // it was a copy
	require.NoError(t, b.Join(ctx, "L"))
	player(t, b, "Ada (invented)", clock(1))
	s := &room.Syncer{Book: b, Room: seat("L"), Now: time.Now}
	r, err := s.Round(ctx)
	require.NoError(t, err)
	assert.Equal(t, []int{3, 2, 1}, []int{r.Taken, r.Waiting, r.Given})
	unfit, err := b.Unfit(ctx)
	require.NoError(t, err)
	require.Len(t, unfit, 2)
	assert.True(t, unfit[0].Newer && unfit[1].Newer)
	kept, err := b.Rows(ctx, "newer", 0, 9)
	require.NoError(t, err)
	assert.Equal(t, rows, kept, "as they came")

	// As though the third had been refused too: a program that knows it takes it in when it opens the book, though nobody writes.
	require.NoError(t, b.Close())
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.Exec(`UPDATE log SET waits = '!1 no such kind', body = ?, row = 0 WHERE kind = 'record' AND source = (SELECT id FROM sources WHERE epoch = 'newer');
		DELETE FROM changes WHERE uid = 'k3'; DELETE FROM records WHERE uid = 'k3'`, rows[2].Body)
	require.NoError(t, errors.Join(err, db.Close()))
	b = openBook(t, path)
	s.Book = b
	r, err = s.Round(ctx)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2}, []int{r.Taken, r.Waiting})
	di, err := b.Record(ctx, "k3")
	require.NoError(t, err)
	assert.Equal(t, "Di (invented)", di.Fields["name"])

	o.server.Exec(t, "admin", o.database, truncate)
	owner := postgres.Join(target(t, o.server.URL("keeper", o.database)), "O")
	defer owner.Close()
	n, err := (&room.Syncer{Book: b, Room: owner, Now: time.Now}).Repair(ctx)
	require.NoError(t, err)
	assert.Equal(t, 4, n)
	again, err := seat("K").Fetch(ctx, book.Vector{}, 9)
	require.NoError(t, err)
	assert.Subset(t, again, rows, "passed on")

	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET least = 2")
	player(t, b, "Bo (invented)", clock(2))
	_, err = s.Round(ctx)
	require.ErrorContains(t, err, "a newer program is needed to write here")
	refused := (*room.RefusedError)(nil)
	require.ErrorAs(t, err, &refused)
	assert.True(t, refused.Old)
	_, err = s.Room.Fetch(ctx, nil, 9)
	require.NoError(t, err, "it may read")
	o.server.Exec(t, "keeper", o.database, "UPDATE pullcard.room SET version = 1")
	require.ErrorContains(t, func() error { _, err := seat("N").Vector(ctx); return err }(), "pullcard room open")
}
