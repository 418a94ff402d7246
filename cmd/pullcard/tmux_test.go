package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// patience is how long a test waits for a screen before it gives up; nothing is measured by it.
const patience = 30 * time.Second

// stroke is the time between two strokes of the same key. It is longer than the hold of these tests, which is counted from
// when the bench takes the first key, and that is over when its frame has been seen.
const (
	hold   = "20ms"
	stroke = 25 * time.Millisecond
)

// painting is about the time that a key takes to the screen.
const painting = 12 * time.Millisecond

// desk is a terminal that shows a program, driven through a tmux of its own.
type desk struct {
	t       testing.TB
	socket  string
	pressed map[string]bool
	count   int    // keys that were pressed
	seen    string // the screen as it was looked at since the last key, empty when it was not
}

// newDesk opens a terminal on a program. The environment is the test's and what is given.
func newDesk(t testing.TB, size [2]int, env []string, command ...string) *desk {
	t.Helper()
	dir, err := os.MkdirTemp("", "pullcard") // a socket's path must be short
	require.NoError(t, err)
	d := &desk{t: t, socket: filepath.Join(dir, "tmux"), pressed: map[string]bool{}}
	t.Cleanup(func() {
		_ = exec.Command("tmux", "-S", d.socket, "kill-server").Run() // it may be closed already
		os.RemoveAll(dir)
	})
	args := []string{"-f", "/dev/null", "new-session", "-d", "-x", strconv.Itoa(size[0]), "-y", strconv.Itoa(size[1]), "cat", ";",
		"set", "-g", "remain-on-exit", "on", ";", "set", "-g", "status", "off", ";", "set", "-s", "escape-time", "0"}
	cmd := exec.Command("tmux", append([]string{"-S", d.socket}, args...)...)
	cmd.Env = append(os.Environ(), append([]string{"TMUX=", "TERM=xterm-256color"}, env...)...)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	d.run(command...)
	return d
}

func (d *desk) tmux(args ...string) string {
	d.t.Helper()
	d.seen = ""
	out, err := exec.Command("tmux", append([]string{"-S", d.socket}, args...)...).CombinedOutput()
	require.NoError(d.t, err, "tmux %v: %s", args, out)
	return strings.TrimRight(string(out), "\n")
}

// run starts a program in place of the one that was there.
func (d *desk) run(command ...string) {
	d.t.Helper()
	for _, what := range []string{"pid", "status"} {
		os.Remove(d.around() + "." + what)
	}
	const shell = `sh -c 'echo $$ >"$0.pid"; exec "$@"' "$0" "$@"; echo $? >"$0.status"`
	d.tmux(append([]string{"respawn-pane", "-k", "-t", "0", "--", "sh", "-c", shell, d.around()}, command...)...)
}

// press types keys, by tmux's names for them. A key that was typed before is meant again, so it is no held one.
func (d *desk) press(keys ...string) {
	d.t.Helper()
	for _, key := range keys {
		if d.pressed[key] {
			time.Sleep(stroke)
			break
		}
	}
	for _, key := range keys {
		d.pressed[key] = true
	}
	d.count += len(keys)
	d.tmux(append([]string{"send-keys", "-t", "0"}, keys...)...)
	time.Sleep(painting) // an earlier look would most often be one for nothing, and each starts a program
}

// write types text.
func (d *desk) write(text string) {
	d.t.Helper()
	d.tmux("send-keys", "-t", "0", "-l", text)
}

// screen looks at the screen.
func (d *desk) screen() string {
	d.t.Helper()
	d.seen = d.tmux("capture-pane", "-p", "-t", "0")
	return d.seen
}

// shown is the screen, which is not looked at again when nothing was typed since: each look starts a program.
func (d *desk) shown() string {
	d.t.Helper()
	if d.seen == "" {
		return d.screen()
	}
	return d.seen
}

// until waits for a screen that says what it should and returns it.
func (d *desk) until(what string, is func(screen string) bool) string {
	d.t.Helper()
	screen := d.shown()
	if is(screen) {
		return screen
	}
	for end, pause := time.Now().Add(patience), 3*time.Millisecond; time.Now().Before(end); pause = min(2*pause, 50*time.Millisecond) {
		time.Sleep(pause)
		if screen = d.screen(); is(screen) {
			return screen
		}
	}
	require.Fail(d.t, "no "+what, "the screen is\n%s", screen)
	return ""
}

func (d *desk) untilSays(text string) string {
	d.t.Helper()
	return d.until(text, func(screen string) bool { return strings.Contains(screen, text) })
}

var counting = regexp.MustCompile(`(\d+)/(\d+)`)

// stepOn is the step on a screen, the first pair on it, 0 when there is none.
func stepOn(screen string) int {
	if m := counting.FindStringSubmatch(screen); m != nil {
		n, _ := strconv.Atoi(m[1])
		return n
	}
	return 0
}

func (d *desk) untilStep(n int) string {
	d.t.Helper()
	return d.until(fmt.Sprintf("step %d", n), func(screen string) bool { return stepOn(screen) == n })
}

// pid is the program's process.
func (d *desk) pid() int {
	d.t.Helper()
	n, err := strconv.Atoi(d.left("pid"))
	require.NoError(d.t, err)
	return n
}

// kill sends a signal to the program, waits until it has ended and returns how.
func (d *desk) kill(s syscall.Signal) int {
	d.t.Helper()
	require.NoError(d.t, syscall.Kill(d.pid(), s))
	return d.over()
}

// over waits until the program has ended and returns its exit status, 128 and the signal's number when one ended it.
func (d *desk) over() int {
	d.t.Helper()
	n, err := strconv.Atoi(d.left("status"))
	require.NoError(d.t, err)
	return n
}

// left waits for a line that the shell around the program leaves behind.
func (d *desk) left(what string) string {
	d.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(3 * time.Millisecond) {
		if data, err := os.ReadFile(d.around() + "." + what); err == nil && strings.HasSuffix(string(data), "\n") {
			return strings.TrimSpace(string(data))
		}
	}
	require.Fail(d.t, "no "+what+" of the program", "the screen is\n%s", d.screen())
	return ""
}

// around is where the shell around the program leaves what it knows. Tmux itself now and then misses how a program ended.
func (d *desk) around() string { return filepath.Join(filepath.Dir(d.socket), "program") }

// typed is an event as the stringer who typed it would tell it.
type typed struct {
	Kind, What, Why string
	Step            int
}

// record is a job as the export tells it.
type record struct {
	ID             int
	Player, Racket string
	State          string
	Step, Steps    int
	Events         []typed
}

// exported is what the program exports of a book.
func exported(t testing.TB, bin, book string) (jobs []record) {
	t.Helper()
	out, err := exec.Command(bin, "book", "export", "--json", "--book", book).Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(out, &jobs))
	return jobs
}
