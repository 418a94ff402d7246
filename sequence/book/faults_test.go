//go:build sweep && unix

package book

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// life is a job from its first step to its last, at a bench that is closed half way. Whatever fails is tried again, as somebody at the
// bench would, and what is true when it had gone through is shown.
type life struct {
	t     *testing.T
	open  func(context.Context, string) (*Book, error)
	path  string
	tries int // that failed
	job   int64
	shown func(events int)
}

const lifeEvents = 9

// again tries until it goes through. It may fail a few times: what failed once can leave something to be tidied up.
func (l *life) again(what string, try func() error) {
	l.t.Helper()
	var err error
	for range 4 {
		if err = try(); err == nil {
			return
		}
		l.tries++
		assert.NotEmpty(l.t, err.Error())
	}
	require.NoError(l.t, err, what)
}

func (l *life) live() {
	l.t.Helper()
	ctx := context.Background()
	for _, until := range []int{5, lifeEvents} {
		var b *Book
		l.again("open", func() (err error) {
			b, err = l.open(ctx, l.path)
			return err
		})
		for l.job == 0 {
			l.again("begin", func() (err error) {
				l.job, err = b.NewJob(ctx, Draft{Player: "Player one", Racket: "Racket two", At: clock(0), Plan: invented(12)})
				return err
			})
		}
		for n := 0; n < until; {
			l.again("write", func() error {
				j, err := b.Job(ctx, l.job) // what was not said to be written may be
				if err != nil {
					return err
				}
				if n = len(j.Events); n > 0 {
					l.shown(n)
				}
				if n >= until {
					return nil
				}
				s, err := progress.Fold(j.Plan, j.Events)
				if err != nil {
					return err
				}
				e := progress.Event{At: clock(n), Kind: progress.Done, Step: s.Current(), Why: strconv.Itoa(n)}
				if n == 3 {
					e.Kind, e.What, e.Plan = progress.Mishap, "misweave", mended(s.Plan(), s.Last(), 1)
				}
				if err := b.Append(ctx, l.job, n, e); err != nil {
					return err
				}
				n++
				l.shown(n)
				return nil
			})
		}
		if err := b.Close(); err != nil {
			l.tries++
		}
	}
}

// mustHold holds that a book is sound and has so many events of a job at least, each once and in order. It may have the job twice, the
// first without events: where the last call of its beginning failed, the disk has it although the book said that it could not be begun.
func mustHold(t *testing.T, path string, job int64, events int) {
	t.Helper()
	ctx := context.Background()
	b, err := OpenExisting(ctx, path)
	require.NoError(t, err)
	defer b.Close()
	found, err := b.Check(ctx, nil)
	require.NoError(t, err)
	require.Empty(t, found.Findings)
	if events == 0 {
		return
	}
	j, err := b.Job(ctx, job)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(j.Events), events)
	for n, e := range j.Events {
		require.Equal(t, strconv.Itoa(n), e.Why)
	}
}

// newLife is a book on a faulty disk.
func newLife(t *testing.T, d *faulty, open func(context.Context, string) (*Book, error)) *life {
	return &life{t: t, open: open, path: filepath.Join(d.dir, "book"), shown: func(int) {}}
}

// lifeCalls are what a life asks of the disk when nothing fails.
func lifeCalls(t *testing.T, open func(context.Context, string) (*Book, error)) []string {
	t.Helper()
	d := newFaulty(t, t.TempDir())
	l := newLife(t, d, open)
	l.live()
	require.Zero(t, l.tries)
	mustHold(t, l.path, l.job, lifeEvents)
	return d.calls
}

// faultsVar has every fault tried instead of a share of them.
const faultsVar = "PULLCARD_FAULTS"

func every(n int) int {
	if os.Getenv(faultsVar) != "" {
		return 1
	}
	return n
}

// Each thing that is asked of a disk in the life of a job fails once, as a bad disk does and as a full one.
func TestEachCallOfADiskFails(t *testing.T) { inBothWays(t, eachCallFails) }

// inBothWays goes through a test with a book as it is on a disk of this machine, and on one that others write to.
func inBothWays(t *testing.T, test func(*testing.T, func(context.Context, string) (*Book, error))) {
	t.Run("own disk", func(t *testing.T) { test(t, Open) })
	t.Run("network disk", func(t *testing.T) { test(t, OpenAlone) })
}

func eachCallFails(t *testing.T, open func(context.Context, string) (*Book, error)) {
	calls := lifeCalls(t, open)
	step, tried, noticed := every(9), 0, 0
	for i := rand.IntN(step); i < len(calls); i += step {
		for _, full := range []bool{false, true} {
			if full && (strings.HasPrefix(calls[i], "read") || strings.HasPrefix(calls[i], "open") || strings.HasPrefix(calls[i], "delete")) {
				continue // these need no room
			}
			d := newFaulty(t, t.TempDir())
			d.fail, d.full = i, full
			l := newLife(t, d, open)
			shown := 0
			l.shown = func(n int) { shown = n }
			l.live()
			require.Equal(t, lifeEvents, shown)
			if tried++; l.tries > 0 {
				noticed++
			}
			d.fail = -1
			mustHold(t, l.path, l.job, lifeEvents)
			disks.Delete(d.dir)
		}
	}
	require.Positive(t, noticed, "or nothing failed")
	t.Logf("%d faults at %d calls: survived %d, of which SQLite mended %d itself; lost 0", tried, len(calls), tried, tried-noticed)
}

// The power goes at any moment, and of what was not yet on the disk some is there, some in part, some not, in any order.
func TestPowerGoes(t *testing.T) { inBothWays(t, powerGoes) }

func powerGoes(t *testing.T, open func(context.Context, string) (*Book, error)) {
	calls := lifeCalls(t, open)
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	points, nameless := 200/every(5), 0
	for range points {
		d := newFaulty(t, t.TempDir())
		d.cut, d.random = random.IntN(len(calls)), random
		l := newLife(t, d, open)
		shown := 0
		l.shown = func(n int) {
			if d.mu.Lock(); d.left == nil {
				shown = n
			}
			d.mu.Unlock()
		}
		l.live()
		if d.left == nil { // it asked less this time
			d.cut = len(d.calls)
			d.asked("nothing", &platter{})
		}
		for _, p := range d.left {
			if p == nil {
				nameless++
			}
		}
		path := filepath.Join(d.restart(t), "book")
		if shown > 0 || mustExist(path) == nil {
			mustHold(t, path, l.job, shown)
		}
		disks.Delete(d.dir)
	}
	t.Logf("%d power cuts, %d files that had no name yet: survived %[1]d; lost 0", points, nameless)
}

// Two machines of which neither sees the other's locks, on a network disk: one has the book, and the other is told who. Where somebody takes the
// sign away although the first still runs, the first writes into a file of its own from then on, and nothing that was shown is lost.
func TestTwoMachines(t *testing.T) {
	ctx, random := context.Background(), rand.New(rand.NewPCG(1, 0))
	rounds, shown := 200/every(5), 0
	for range rounds {
		d := newFaulty(t, t.TempDir())
		d.apart = true
		path, host := filepath.Join(d.dir, "book"), t.TempDir()
		machine := func(name string) *worker {
			b, err := OpenAlone(ctx, path)
			require.NoError(t, err)
			b.RescueTo(filepath.Join(host, name), func() time.Time { return clock(0) })
			return &worker{Book: b, draft: Draft{Player: name, Racket: "Racket one", File: "job.toml", Source: []byte("frame = \"invented\"\n"), At: clock(0), Plan: invented(12)}}
		}
		work := func(w *worker, from, n int) int {
			for i := from; i < from+n; i++ {
				w.do(t, event(progress.Done, i))
			}
			shown += n
			return from + n
		}
		a := machine("first")
		atA := work(a, 1, 1+random.IntN(5))
		for _, again := range []func(context.Context, string) (*Book, error){Open, OpenExisting, OpenAlone} {
			_, err := again(ctx, path)
			require.ErrorContains(t, err, "open alone on the machine")
		}
		taken := random.IntN(4) > 0
		if taken {
			require.NoError(t, os.Remove(path+"-alone"))
		} else {
			require.NoError(t, a.Close())
		}
		b := machine("second")
		atB, before := 1, atA
		for range 4 {
			atB = work(b, atB, 1+random.IntN(2))
			if taken {
				atA = work(a, atA, random.IntN(2))
			}
		}
		if taken {
			require.Equal(t, atA > before, a.Rescued() != nil)
			require.NoError(t, a.Close())
		}
		require.FileExists(t, path+"-alone", "the sign of the second stays")
		require.NoError(t, b.Close())
		holds := func(path, player string, events int) {
			b, err := OpenExisting(ctx, path)
			require.NoError(t, err)
			requireSound(t, b)
			jobs, err := b.Jobs(ctx, Filter{})
			require.NoError(t, err)
			jobs = slices.DeleteFunc(jobs, func(e Entry) bool { return e.Player != player })
			require.Len(t, jobs, 1)
			j, err := b.Job(ctx, jobs[0].ID)
			require.NoError(t, err)
			require.Len(t, j.Events, events)
			require.NoError(t, b.Close())
		}
		holds(path, "first", before-1)
		holds(path, "second", atB-1)
		if atA > before {
			holds(a.Rescued().File, "first", atA-1)
		}
		disks.Delete(d.dir)
	}
	t.Logf("two machines %d times, %d steps shown: lost 0", rounds, shown)
}

// Where an error says that nothing was changed, nothing was: in the book that goes on, in one that is opened anew after it was closed, and in
// one whose program has gone. What a bad disk may have kept all the same is not said to be gone.
func TestNothingWasChangedIsSo(t *testing.T) { inBothWays(t, nothingChanged) }

func nothingChanged(t *testing.T, open func(context.Context, string) (*Book, error)) {
	ctx, said, unsure, kept := context.Background(), 0, 0, 0
	try := func(call int, full bool) (calls int) {
		d := newFaulty(t, t.TempDir())
		defer disks.Delete(d.dir)
		b, err := open(ctx, filepath.Join(d.dir, "book"))
		require.NoError(t, err)
		newJob(t, b, 3)
		before := len(d.calls)
		d.fail, d.full = before+call, full
		_, failed := b.NewJob(ctx, Draft{Player: "Player two", Racket: "Racket two", At: clock(1), Plan: invented(12)})
		calls, d.fail = len(d.calls)-before, -1
		if failed == nil {
			require.NoError(t, b.Close())
			return calls
		}
		gone, jobs := t.TempDir(), 0
		require.NoError(t, os.CopyFS(gone, os.DirFS(d.dir)))
		for _, running := range []string{"-shm", "-alone"} {
			require.NoError(t, os.RemoveAll(filepath.Join(gone, "book"+running)))
		}
		count := func(b *Book, err error) {
			require.NoError(t, err)
			list, err := b.Jobs(ctx, Filter{})
			require.NoError(t, err)
			jobs = max(jobs, len(list))
			require.NoError(t, b.Close())
		}
		count(b, nil)
		count(OpenExisting(ctx, filepath.Join(d.dir, "book")))
		count(OpenExisting(ctx, filepath.Join(gone, "book")))
		if strings.Contains(failed.Error(), "nothing was changed") {
			said++
			require.Equal(t, 1, jobs, "call %d: %v", call, failed)
		} else if errors.As(failed, new(*UnsureError)) {
			require.ErrorContains(t, failed, "it may be kept all the same; look before you do it again")
			unsure++
			kept += jobs - 1
		}
		return calls
	}
	calls, step := try(-1, false), every(5)
	for call, lot := 0, rand.IntN(step); call < calls; call++ {
		if call%step == lot || call > calls-5 { // the last ones end it
			try(call, false)
			try(call, true)
		}
	}
	t.Logf("%d errors said that nothing was changed, and nothing was; %d were unsure, of which %d had it", said, unsure, kept)
	require.Positive(t, said)
	require.Positive(t, kept, "or it is not tried what a disk keeps all the same")
}
