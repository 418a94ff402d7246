package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTerminal drives the program as a stringer does, by the keys of a real terminal.
func TestTerminal(t *testing.T) {
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("NOT TESTED: THE BENCH IN A TERMINAL. This takes tmux, which is not installed.")
	}
	bin := build(t)
	for _, c := range []struct {
		name string
		test func(*testing.T, string)
	}{
		{"whole racket by space", wholeRacket},
		{"slips on the way", slipsOnTheWay},
		{"killed at twenty steps", killedAtTwentySteps},
		{"held key", heldKey},
		{"closed terminal", closedTerminal},
		{"two jobs at once", twoJobsAtOnce},
		{"one job twice", oneJobTwice},
		{"rack of a new house", rackOfANewHouse},
		{"rack with files", rackWithFiles},
		{"terminal resized", terminalResized},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.test(t, bin)
		})
	}
}

// stand is a bench with a job of 64 steps on it.
type stand struct {
	*desk
	command []string
	book    string
	bin     string
	typed   []typed
}

const steps = 64

func newStand(t *testing.T, bin string, flags ...string) *stand {
	t.Helper()
	b := &stand{bin: bin, book: filepath.Join(t.TempDir(), "book.db")}
	job := jobFile(t, "job.toml", "blue", "club-sixteen", "two-piece-skip")
	b.command = append([]string{bin, "bench", "--book", b.book, job}, flags...)
	b.desk = newDesk(t, [2]int{120, 40}, nil, b.command...)
	return b
}

// did notes what was typed.
func (b *stand) did(kind string, step int) { b.typed = append(b.typed, typed{Kind: kind, Step: step}) }

// done marks the step shown as done.
func (b *stand) done() {
	b.t.Helper()
	n := stepOn(b.screen())
	time.Sleep(pace)
	b.press("Space")
	b.did("done", n)
	b.until("another step", func(s string) bool {
		return stepOn(s) > 0 && stepOn(s) != n || strings.Contains(s, "FINISHED")
	})
}

// resume answers that all stands as it was left, at step n.
func (b *stand) resume(n int) {
	b.t.Helper()
	require.Zero(b.t, stepOn(b.untilSays("TAKE UP AGAIN")), "no count before the answer")
	b.press("Enter")
	b.untilStep(n)
	b.resumed(n)
}

func (b *stand) resumed(n int) {
	b.typed = append(b.typed, typed{Kind: "resume", Step: n, Why: "clamps stand as shown"})
}

// requireExport holds that the book has the one job with what was typed, and nothing else.
func (b *stand) requireExport(state string) {
	b.t.Helper()
	jobs := exported(b.t, b.bin, b.book)
	require.Len(b.t, jobs, 1)
	require.Equal(b.t, state, jobs[0].State)
	require.Equal(b.t, b.typed, jobs[0].Events)
}

func wholeRacket(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	for n := 1; n <= steps; n++ {
		b.untilStep(n)
		b.done()
	}
	b.untilSays("This racket is strung.")
	for range 3 {
		time.Sleep(pace)
		b.press("Space")
	}
	b.press("q")
	assert.Equal(t, 0, b.over())
	b.requireExport("done")
	assert.Len(t, b.typed, steps)
}

func slipsOnTheWay(t *testing.T, bin string) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	b := newStand(t, bin, "--hold", hold)
	b.untilStep(1)
	slips, backs := 0, 0
	for !strings.Contains(b.screen(), "FINISHED") {
		n := stepOn(b.screen())
		switch r := random.IntN(100); {
		case r < 12 && strings.Contains(b.screen(), "s slipped"):
			b.slip(random, fmt.Sprintf("reason %d", len(b.typed)))
			slips++
		case r < 20 && n > 1:
			b.back()
			backs++
		case r < 25:
			b.note(fmt.Sprintf("words %d: s q v ?", len(b.typed)))
		case r < 30:
			b.look()
		default:
			b.done()
		}
	}
	b.requireExport("done")
	assert.Positive(t, slips)
	assert.Positive(t, backs)
	t.Logf("%d events, of which %d slips and %d steps back", len(b.typed), slips, backs)
}

var slipLine = regexp.MustCompile(`(?m)(\d)  ((?:the gripper|clamp ([ABS])) slipped on \S+ at \S+)`)

// slip reports one of the things that the bench says can have slipped.
func (b *stand) slip(random *rand.Rand, reason string) {
	b.t.Helper()
	b.press("s")
	list := slipLine.FindAllStringSubmatch(b.untilSays("What slipped?"), -1)
	require.NotEmpty(b.t, list, "nothing can have slipped")
	choice := list[random.IntN(len(list))]
	b.press(choice[1])
	b.untilSays("Why? " + choice[2])
	b.write(reason)
	b.press("Enter")
	screen := b.until("the step again", func(s string) bool {
		return strings.Contains(s, "AGAIN (") && strings.Contains(s, "kept in the journal: "+choice[2]+": "+reason)
	})
	what := choice[3]
	if what == "" {
		what = "gripper"
	}
	b.typed = append(b.typed, typed{Kind: "redo", Step: stepOn(screen), What: what, Why: choice[2] + ": " + reason})
}

// back goes a step back.
func (b *stand) back() {
	b.t.Helper()
	n := stepOn(b.screen())
	time.Sleep(pace)
	b.press("BSpace")
	b.did("back", n)
	b.until("another step", func(s string) bool { return stepOn(s) != n })
}

// note writes a note.
func (b *stand) note(text string) {
	b.t.Helper()
	n := stepOn(b.screen())
	b.press("n")
	b.untilSays("› ")
	b.write(text)
	b.press("Enter")
	b.untilSays("noted: " + text)
	b.typed = append(b.typed, typed{Kind: "note", Step: n, Why: text})
}

// look looks at another step and comes back, which leaves nothing behind.
func (b *stand) look() {
	b.t.Helper()
	n := stepOn(b.screen())
	b.press("Right")
	b.until("another step", func(s string) bool { return stepOn(s) != n })
	time.Sleep(pace)
	b.press("Space")
	b.untilStep(n)
}

// Whatever was shown as done when the program was killed is done afterwards, and nothing more than was typed.
func killedAtTwentySteps(t *testing.T, bin string) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	kill := map[int]bool{}
	for _, n := range random.Perm(steps - 1)[:20] {
		kill[n+2] = true // a job is in the book from its first event on
	}
	b := newStand(t, bin, "--hold", hold)
	kills := 0
	for n := 1; n <= steps; n++ {
		b.untilStep(n)
		if !kill[n] {
			b.done()
			continue
		}
		kills++
		amidst := n < steps && random.IntN(2) == 0
		if amidst { // the key has been pressed and its frame has not been seen
			time.Sleep(pace)
			b.press("Space")
			time.Sleep(time.Duration(random.IntN(12_000)) * time.Microsecond)
		}
		require.Equal(t, 128+9, b.kill(syscall.SIGKILL))
		b.run(b.command...)
		require.Zero(t, stepOn(b.untilSays("TAKE UP AGAIN")), "no count before the answer")
		b.press("Enter")
		now := stepOn(b.until("a step", func(s string) bool { return stepOn(s) > 0 }))
		if amidst && now == n+1 {
			b.did("done", n)
		} else {
			require.Equal(t, n, now)
		}
		b.resumed(now)
		if now == n {
			b.done()
		}
	}
	b.untilSays("FINISHED")
	assert.Equal(t, 20, kills)
	b.requireExport("done")
}

// A held key comes as many keys. The hold is the default's for those that come at once, and long where they come one
// by one, since nothing says how soon this test is given the time to send the next.
func heldKey(t *testing.T, bin string) {
	b := newStand(t, bin)
	for n := 1; n <= 3; n++ {
		b.untilStep(n)
		b.press("-N", "30", "Space")
		b.did("done", n)
		b.untilStep(n + 1)
		time.Sleep(1200 * time.Millisecond)
	}
	b.press("q")
	b.over()

	b.run(append(b.command, "--hold", "1m")...)
	b.resume(4)
	for range 40 {
		b.press("Space")
		time.Sleep(25 * time.Millisecond)
	}
	b.did("done", 4)
	b.untilStep(5)
	b.press("Enter") // another key never is a held one
	b.did("done", 5)
	b.untilStep(6)
	b.press("BSpace")
	b.did("back", 6)
	b.untilStep(5)
	b.press("Enter")
	b.did("done", 5)
	b.untilStep(6)
	b.press("Enter", "Enter", "Enter")
	b.press("q")
	b.over()
	b.requireExport("open")
}

func closedTerminal(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	for n := 1; n <= 9; n++ {
		b.untilStep(n)
		b.done()
	}
	b.untilStep(10)
	pid := b.pid()
	b.tmux("kill-server")
	require.Eventually(t, func() bool { return syscall.Kill(pid, 0) == syscall.ESRCH }, patience, 5*time.Millisecond,
		"the program outlives its terminal")
	b.desk = newDesk(t, [2]int{120, 40}, nil, b.command...)
	b.resume(10)
	b.done()
	b.untilStep(11)

	assert.Equal(t, 0, b.kill(syscall.SIGTERM))
	b.run(b.command...)
	b.untilSays("TAKE UP AGAIN")
	b.press("r")
	b.until("the last pull again", func(s string) bool { return stepOn(s) == 10 && strings.Contains(s, "AGAIN") })
	b.typed = append(b.typed, typed{Kind: "redo", Step: 10, What: "gripper", Why: "not clamped when the work was left"})
	b.press("C-c")
	assert.Equal(t, 0, b.over())
	b.requireExport("open")
}

func twoJobsAtOnce(t *testing.T, bin string) {
	book := filepath.Join(t.TempDir(), "book.db")
	rackets := []string{"blue", "red"}
	var desks []*desk
	for _, racket := range rackets {
		job := jobFile(t, racket+".toml", racket, "club-sixteen", "two-piece-skip")
		desks = append(desks, newDesk(t, [2]int{80, 24}, nil, bin, "bench", "--hold", hold, "--book", book, job))
	}
	var want []typed
	for n := 1; n <= steps; n++ {
		for _, d := range desks {
			d.untilStep(n)
		}
		time.Sleep(pace)
		for _, d := range desks { // both write at the same moment
			d.press("Space")
		}
		want = append(want, typed{Kind: "done", Step: n})
	}
	for _, d := range desks {
		d.untilSays("FINISHED")
	}
	jobs := exported(t, bin, book)
	require.Len(t, jobs, 2)
	assert.ElementsMatch(t, rackets, []string{jobs[0].Racket, jobs[1].Racket})
	for _, j := range jobs {
		assert.Equal(t, want, j.Events)
	}
}

// Of two programs on one job the second that writes is told; nothing is counted that is not in the book.
func oneJobTwice(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	b.untilStep(1)
	b.done()
	other := newDesk(t, [2]int{120, 40}, nil, b.command...)
	other.untilSays("TAKE UP AGAIN")
	other.press("Enter")
	b.resumed(2)
	other.untilStep(2)
	time.Sleep(pace)
	b.press("Space")
	screen := b.untilSays("NOT SAVED, so not counted: ")
	assert.Contains(t, screen, "another program has worked on job 1")
	assert.Equal(t, 2, stepOn(screen))
	b.requireExport("open")
}

func rackOfANewHouse(t *testing.T, bin string) {
	home := t.TempDir()
	d := newDesk(t, [2]int{80, 24}, []string{"HOME=" + home, "XDG_DATA_HOME=", "PULLCARD_BOOK="}, bin, "--hold", hold)
	d.untilSays("which racket goes on the bench?")
	assert.Contains(t, d.untilSays("Demo player (invented)"), "demo, all of it invented")
	d.press("Enter")
	for n := range 3 {
		d.untilStep(n + 1)
		time.Sleep(pace)
		d.press("Space")
	}
	d.untilStep(4)
	d.press("q")
	screen := d.untilSays("in progress")
	assert.Contains(t, screen, "left just now")
	assert.Equal(t, 1, strings.Count(screen, "Demo player (invented)"), "it is listed once")
	d.press("Enter")
	d.untilSays("TAKE UP AGAIN")
	time.Sleep(pace)
	d.press("Enter")
	d.untilStep(4)
	d.press("q")
	d.untilSays("which racket")
	d.press("q")
	assert.Equal(t, 0, d.over())

	book := filepath.Join(home, ".local", "share", "pullcard", "book.db")
	info, err := os.Stat(book)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "the book is its owner's")
	jobs := exported(t, bin, book)
	require.Len(t, jobs, 1)
	assert.Equal(t, []typed{{Kind: "done", Step: 1}, {Kind: "done", Step: 2}, {Kind: "done", Step: 3},
		{Kind: "resume", Step: 4, Why: "clamps stand as shown"}}, jobs[0].Events)
}

func rackWithFiles(t *testing.T, bin string) {
	book := filepath.Join(t.TempDir(), "book.db")
	files := []string{"blue", "red", "green"}
	for i, racket := range files {
		files[i] = jobFile(t, racket+".toml", racket, "club-sixteen", "two-piece-skip")
	}
	broken := jobFile(t, "broken.toml", "grey", "club-sixten", "two-piece-skip")
	d := newDesk(t, [2]int{120, 40}, nil, "cat")
	for _, file := range files[:2] { // two jobs are left in progress, the red one last
		d.run(bin, "bench", "--hold", hold, "--book", book, file)
		d.untilStep(1)
		d.press("Space")
		d.untilStep(2)
		d.press("q")
		d.over()
	}
	d.run(append([]string{bin, "--hold", hold, "--book", book, broken}, files...)...)
	screen := d.untilSays("demo, all of it invented")
	at := 0
	for _, want := range []string{"in progress", "Ada Example · red", "Ada Example · blue", "job files", "broken.toml",
		"cannot be strung as it is", "Ada Example · green", "Demo player (invented)"} {
		i := strings.Index(screen[at:], want)
		require.GreaterOrEqual(t, i, 0, "%q, in this order, on\n%s", want, screen)
		at += i
	}
	assert.Equal(t, 1, strings.Count(screen, "Ada Example · red"), "what is in progress is listed once")

	d.press("Down")
	time.Sleep(pace)
	d.press("Down")
	d.untilSays(`did you mean "club-sixteen"?`)
	d.press("Enter")
	d.untilSays("this job cannot be strung as it is")
	d.press("Up")
	time.Sleep(pace)
	d.press("Up")
	d.until("red chosen", func(s string) bool { return strings.Contains(s, "▶ Ada Example · red") })
	d.press("Enter")
	d.untilSays("TAKE UP AGAIN")
	time.Sleep(pace)
	d.press("Enter")
	assert.Contains(t, d.untilStep(2), "Ada Example · red")
}

// The frame fills a terminal whatever its size becomes; one that is too small says so and loses nothing.
func terminalResized(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	b.untilStep(1)
	b.done()
	for _, size := range [][2]int{{60, 20}, {200, 60}, {80, 24}} {
		b.tmux("resize-window", "-x", fmt.Sprint(size[0]), "-y", fmt.Sprint(size[1]))
		screen := b.until("the frame in its size", func(s string) bool {
			lines := strings.Split(s, "\n")
			return len(lines) == size[1] && strings.Contains(lines[size[1]-1], "space") && strings.HasPrefix(lines[0], " 2/64")
		})
		assert.Equal(t, 1, strings.Count(screen, "2/64"), "at %v", size)
	}
	b.tmux("resize-window", "-x", "50", "-y", "10")
	b.untilSays("at least 60×20")
	b.tmux("resize-window", "-x", "80", "-y", "24")
	b.untilStep(2)
	b.done()
	b.requireExport("open")
}
