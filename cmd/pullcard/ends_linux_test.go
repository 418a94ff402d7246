package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// sudden is a way in which the bench ends, or is kept from going on, in the midst of a racket.
type sudden struct {
	name  string
	tried int // with PULLCARD_FAULTS set, else an eighth of them
	// under is what the program runs under, so that it ends by itself.
	under func(random *rand.Rand) []string
	end   func(l *line)
	lives bool // it goes on, with the key that was pressed meanwhile
}

func suddenEnds() []sudden {
	signal := func(s os.Signal) func(*line) { return func(l *line) { _ = l.cmd.Process.Signal(s) } } // it may have ended
	return []sudden{
		{name: "kill -9 at any moment", tried: 250, end: signal(os.Kill)},
		{name: "kill -9 at a write to the disk", tried: 250, under: func(random *rand.Rand) []string {
			return []string{"strace", "-f", "-o", "/dev/null", "-e", "trace=pwrite64", "-e", fmt.Sprintf("inject=pwrite64:signal=SIGKILL:when=%d", 1+random.IntN(60)), "--"}
		}},
		{name: "terminated", tried: 50, end: signal(syscall.SIGTERM)},
		{name: "interrupted", tried: 50, end: signal(syscall.SIGINT)},
		{name: "hung up", tried: 50, end: signal(syscall.SIGHUP)},
		{name: "terminal closed", tried: 50, end: func(l *line) { l.master.Close() }},
		{name: "stopped and continued", tried: 50, lives: true, end: func(l *line) {
			signal(syscall.SIGSTOP)(l)
			l.write(" ")
			time.Sleep(20 * time.Millisecond)
			signal(syscall.SIGCONT)(l)
		}},
	}
}

// TestSuddenEnds strings rackets by the key while the program ends at random moments. What any screen showed as done is done when it is
// taken up again, and in the end each step was done once. The table is printed.
func TestSuddenEnds(t *testing.T) {
	sweep.Only(t)
	t.Parallel()
	bin := build(t)
	for _, way := range suddenEnds() {
		t.Run(way.name, func(t *testing.T) {
			if way.under != nil {
				traces(t, strings.ToUpper(way.name))
			}
			if os.Getenv("PULLCARD_FAULTS") == "" {
				way.tried = (way.tried + 7) / 8
			}
			tried, lost := 0, 0
			for tried < way.tried {
				n, gone := stringWith(t, bin, way)
				tried, lost = tried+n, lost+gone
			}
			t.Logf("| %s | %d | %d | %d |", way.name, tried, tried-lost, lost)
			assert.Zero(t, lost)
		})
	}
}

// onStep is a step of the racket on the screen.
var onStep = regexp.MustCompile(fmt.Sprintf(`(\d+)/%d\b`, steps))

// last is the last step that output shows, 0 for none.
func last(output string) int {
	all := onStep.FindAllStringSubmatch(output, -1)
	if all == nil {
		return 0
	}
	n, _ := strconv.Atoi(all[len(all)-1][1])
	return n
}

// comes waits until what has come since from is as wanted, and says whether it was before the program ended.
func (l *line) comes(from int, wanted func(string) bool) bool {
	l.t.Helper()
	for late := time.Now().Add(patience); ; time.Sleep(time.Millisecond) {
		l.mu.Lock()
		text, closed := string(l.seen[from:]), l.closed
		l.mu.Unlock()
		if wanted(text) {
			return true
		}
		if closed {
			return false
		}
		require.True(l.t, time.Now().Before(late), "nothing more came: %q", text)
	}
}

// stringWith strings one racket and returns how many times the program ended on the way, and of these in how many a step was lost.
func stringWith(t *testing.T, bin string, way sudden) (tried, lost int) {
	seed := rand.Uint64()
	random := rand.New(rand.NewPCG(seed, 0))
	home := t.TempDir()
	book, job := filepath.Join(home, "book.db"), benchJob(t, "job.toml", "blue")
	finished := func(text string) bool { return strings.Contains(text, "STRUNG") }
	shown, typed := 1, 0 // the furthest step that was on a screen, and how many keys said that one is done
	for done := false; !done; {
		command := []string{bin, "bench", "--hold", "0s", "--book", book, job}
		if way.under != nil {
			command = append(way.under(random), command...)
		}
		l := newLine(t, [2]int{100, 30}, []string{"XDG_DATA_HOME=" + home}, exec.Command(command[0], command[1:]...))
		at := func(from int) int { return last(l.all()[from:]) }
		there := func(text string) bool { return last(text) > 0 || finished(text) }
		up := l.comes(0, func(text string) bool { return there(text) || strings.Contains(text, "TAKE UP AGAIN") })
		from := 0
		if up && !there(l.all()) {
			from = l.so()
			l.write("\r")
			up = l.comes(from, there)
		}
		if up && !finished(l.all()) {
			now := at(from)
			if now < shown {
				lost++
				t.Errorf("seed %d: step %d was on the screen, and %d is after the end", seed, shown, now)
			}
			require.LessOrEqual(t, now, typed+1, "seed %d: nobody did that", seed)
			shown, typed = now, now-1
		}
		keys := 1 + random.IntN(6)
		for up && !finished(l.all()) && (keys > 0 || way.under != nil) {
			from = l.so()
			l.write(" ")
			typed++
			if keys--; keys == 0 && way.under == nil && !way.lives && random.IntN(2) == 0 {
				time.Sleep(time.Duration(random.IntN(12_000)) * time.Microsecond)
				break // its frame was not waited for
			}
			up = l.comes(from, func(text string) bool { return last(text) > shown || finished(text) })
			shown = max(shown, at(from))
		}
		if done = finished(l.all()); done {
			l.close()
			break
		}
		tried++
		from = l.so()
		if way.end != nil {
			way.end(l)
		}
		if way.lives {
			typed++
			require.True(t, l.comes(from, func(text string) bool { return last(text) == typed+1 || finished(text) }), "seed %d", seed)
			_ = l.cmd.Process.Kill()
		}
		_ = l.cmd.Wait() // however it ended
		l.close()
		shown = max(shown, last(l.all()))
		done = typed >= steps && exported(t, bin, book)[0].State == "done" // a further bench would begin another racket
	}
	out, err := exec.Command(bin, "book", "check", "--book", book).CombinedOutput()
	require.NoError(t, err, "seed %d: %s", seed, out)
	jobs := exported(t, bin, book)
	require.Len(t, jobs, 1, "seed %d", seed)
	n := 0
	for _, e := range jobs[0].Events {
		if e.Kind == "done" {
			n++
			require.Equal(t, n, e.Step, "seed %d", seed)
		}
	}
	assert.Equal(t, steps, n, "seed %d", seed)
	return tried, lost
}
