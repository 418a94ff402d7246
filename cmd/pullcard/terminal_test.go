package main

import (
	"fmt"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// TestTerminal drives the program as a stringer does, by the keys of a real terminal.
func TestTerminal(t *testing.T) {
	if _, err := exec.LookPath("tmux"); err != nil {
		t.Skip("NOT TESTED: THE BENCH IN A TERMINAL. This takes tmux, which is not installed.")
	}
	bin := build(t)
	for i, c := range []struct {
		name string
		test func(*testing.T, string)
	}{
		{"whole racket by space", wholeRacket},
		{"slips on the way", slipsOnTheWay},
		{"killed at twenty steps", killedAtTwentySteps},
		{"gone wrong", goneWrong},
		{"held key", heldKey},
		{"closed terminal", closedTerminal},
		{"two jobs at once", twoJobsAtOnce},
		{"one job twice", oneJobTwice},
		{"rack of a new house", rackOfANewHouse},
		{"rack with files", rackWithFiles},
		{"terminal resized", terminalResized},
		{"a lot of seven", lotOfSeven},
		{"a new frame, strung", newFrame},
	} {
		if !sweep.Take(i, 7) {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.test(t, bin)
		})
	}
}

func wholeRacket(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	for n := 1; n <= steps; n++ {
		b.untilStep(n)
		b.done()
	}
	b.untilSays("This racket is strung.")
	for range 3 {
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
	for !strings.Contains(b.screen(), "STRUNG") { // the whole frame has come by now
		n := stepOn(b.shown())
		switch r := random.IntN(100); {
		case slips < 5 && (r < 12 || n == 12 && slips == 0) && strings.Contains(b.shown(), "s slip"):
			b.slip(random)
			slips++
		case r < 20 && n > 1 || n == 20 && backs == 0:
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

// Whatever was shown as done when the program was killed is done afterwards, and nothing more than was typed.
func killedAtTwentySteps(t *testing.T, bin string) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	kill := map[int]bool{}
	for _, n := range random.Perm(steps - 1)[:sweep.Share(20, 7)] {
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
	b.untilSays("STRUNG")
	assert.Equal(t, sweep.Share(20, 7), kills)
	b.requireExport("done")
}

var wovenWrong = regexp.MustCompile(`(\d)  (C\d+), \S+ to `)

// A cross that was woven wrong brings other steps, by which the racket is finished after an interruption too.
func goneWrong(t *testing.T, bin string) {
	b := newStand(t, bin, "--hold", hold)
	for n := 1; n < 33; n++ {
		b.untilStep(n)
		b.done()
	}
	b.untilStep(33)
	b.press("w")
	b.untilSays("What went wrong?")
	b.press("3") // a cross is woven wrong
	crosses := wovenWrong.FindAllStringSubmatch(b.untilSays("Which cross?"), -1)
	require.Greater(t, len(crosses), 2, "several crosses are woven by then")
	b.press(crosses[1][1])
	b.untilSays("which is in hand?")
	b.press("1") // not begun
	said := crosses[1][2] + " is woven wrong"
	screen := b.untilSays("WAY BACK: " + said)
	b.typed = append(b.typed, typed{Kind: "mishap", Step: 33, What: "misweave", Why: said + ": hurry"})
	total := counting.FindStringSubmatch(screen)[2]
	assert.NotEqual(t, fmt.Sprint(steps), total, "it takes more steps")

	require.Equal(t, 128+9, b.kill(syscall.SIGKILL))
	b.run(b.command...)
	b.resume(34) // the step before it says what happened
	assert.Equal(t, total, counting.FindStringSubmatch(b.shown())[2], "the steps are the new ones")
	asked := 0
	for !strings.Contains(b.screen(), "STRUNG") { // the whole frame has come by now
		if strings.Contains(b.shown(), "Why? "+said) {
			n := stepOn(b.shown())
			b.press("y")
			b.untilSays("enter or space alone will do")
			b.words("hurry")
			b.press("Enter")
			b.until("no question", func(s string) bool { return !strings.Contains(s, "Why? ") })
			b.typed = append(b.typed, typed{Kind: "why", Step: n, Why: "hurry"})
			asked++
		}
		b.done()
	}
	assert.Equal(t, 1, asked, "after the cure, once")
	b.requireExport("done")
	assert.Equal(t, total, fmt.Sprint(b.typed[len(b.typed)-1].Step))
}

// A held key comes as many keys. The hold is long, since nothing says how soon this test is given the time to send the
// next. Many at once are no key that is held but a burst.
func heldKey(t *testing.T, bin string) {
	b := newStand(t, bin)
	for n := 1; n <= 3; n++ {
		b.untilStep(n)
		b.press("-N", "30", "Space")
		b.untilSays("a burst of keys, as a paste makes, was dropped")
		time.Sleep(1200 * time.Millisecond)
		b.press("Space")
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
	b.press("PageDown") // another key never is a held one
	b.did("done", 5)
	b.untilStep(6)
	b.press("BSpace")
	b.did("back", 6)
	b.untilStep(5)
	b.press("PageUp")
	b.did("back", 5)
	b.untilStep(4)
	b.press("PageUp", "PageDown", "Enter") // each has its own hold, whatever came between
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
	require.Regexp(t, `1  the gripper slipped on M\d[LR] at \d+[HT][LR]`, b.untilSays("1  the gripper slipped on"))
	b.press("1")
	b.untilSays("1  before a clamp moved")
	b.press("1")
	b.until("the last pull again", func(s string) bool { return stepOn(s) == 10 && strings.Contains(s, "AGAIN") })
	b.did("back", 11)
	b.typed = append(b.typed, typed{Kind: "redo", Step: 10, What: "gripper"})
	b.press("C-c")
	assert.Equal(t, 0, b.over())
	b.requireExport("open")
}

func twoJobsAtOnce(t *testing.T, bin string) {
	book := filepath.Join(t.TempDir(), "book.db")
	rackets := []string{"blue", "red"}
	var desks []*desk
	for _, racket := range rackets {
		job := benchJob(t, racket+".toml", racket)
		desks = append(desks, newDesk(t, [2]int{80, 24}, nil, bin, "bench", "--hold", hold, "--book", book, job))
	}
	var want []typed
	for n := 1; n <= steps; n++ {
		for _, d := range desks {
			d.untilStep(n)
		}
		time.Sleep(stroke)
		for _, d := range desks { // both write at the same moment
			d.tmux("send-keys", "-t", "0", "Space")
		}
		want = append(want, typed{Kind: "done", Step: n})
	}
	for _, d := range desks {
		d.untilSays("STRUNG")
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
	b.press("Space")
	screen := b.untilSays("another program has worked on job 1")
	assert.Contains(t, screen, "NOT SAVED, so not counted: ")
	assert.Equal(t, 2, stepOn(screen))
	b.requireExport("open")
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
