package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"pullcard/tui/terminal/glass"
	"pullcard/tui/theme"
)

// The question what colour the background is, and the beginning of its answer, as xterm has them.
const question, answer = "\x1b]11;?\x1b\\", "\x1b]11;"

// line is a pseudo-terminal with a program on it and this test in the place of the terminal: it answers nothing by
// itself and sees each line as it stands after a change, and what is no picture, with the time of its coming.
type line struct {
	t       testing.TB
	master  *os.File
	cmd     *exec.Cmd
	started time.Time

	mu     sync.Mutex
	news   *sync.Cond
	glass  glass.Screen
	seen   []byte
	chunks []chunk
	raw    []byte // all bytes
	closed bool
	done   chan struct{} // closed when everything has come
}

// chunk says until where everything had come at a time.
type chunk struct {
	end int
	at  time.Time
}

// newLine starts a program on a terminal of columns and rows.
func newLine(t testing.TB, size [2]int, env []string, cmd *exec.Cmd) *line {
	t.Helper()
	master, slave := openPty(t, size)
	l := &line{t: t, master: master, cmd: cmd, done: make(chan struct{})}
	l.news = sync.NewCond(&l.mu)
	cmd.Env = append(os.Environ(), append([]string{"TERM=xterm-256color", "COLORTERM=truecolor", "COLORFGBG="}, env...)...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	l.started = time.Now()
	require.NoError(t, cmd.Start())
	slave.Close()
	go l.read()
	t.Cleanup(l.close)
	return l
}

func openPty(t testing.TB, size [2]int) (master, slave *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	raw, err := master.SyscallConn() // Fd would have Close wait for a reader
	require.NoError(t, err)
	var n int
	require.NoError(t, raw.Control(func(fd uintptr) {
		require.NoError(t, unix.IoctlSetPointerInt(int(fd), unix.TIOCSPTLCK, 0))
		n, err = unix.IoctlGetInt(int(fd), unix.TIOCGPTN)
		require.NoError(t, err)
		require.NoError(t, unix.IoctlSetWinsize(int(fd), unix.TIOCSWINSZ, &unix.Winsize{Col: uint16(size[0]), Row: uint16(size[1])}))
	}))
	slave, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	return master, slave
}

func (l *line) read() {
	buf := make([]byte, 64<<10)
	for {
		n, err := l.master.Read(buf)
		at := time.Now()
		l.mu.Lock()
		l.raw = append(l.raw, buf[:n]...)
		l.seen = append(l.seen, l.glass.Write(buf[:n])+l.glass.Changed()...)
		l.chunks = append(l.chunks, chunk{len(l.seen), at})
		l.closed = err != nil
		l.news.Broadcast()
		l.mu.Unlock()
		if err != nil {
			close(l.done)
			return
		}
	}
}

// end waits for the end of the program and of its output.
func (l *line) end() error {
	err := l.cmd.Wait()
	<-l.done
	return err
}

// all is everything that was seen.
func (l *line) all() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return string(l.seen)
}

func (l *line) close() {
	_ = l.cmd.Process.Kill() // it may have ended by itself
	_ = l.cmd.Wait()
	l.master.Close()
}

// write is what the terminal sends, keys and answers.
func (l *line) write(text string) {
	l.t.Helper()
	_, err := l.master.WriteString(text)
	require.NoError(l.t, err)
}

// so is how long what was seen is so far.
func (l *line) so() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.seen)
}

// came is how many bytes have come so far.
func (l *line) came() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.raw)
}

// until waits for a text past a place and returns when it had come. It gives up after a time.
func (l *line) until(text string, from int, patience time.Duration) time.Time {
	l.t.Helper()
	late := time.AfterFunc(patience, func() {
		l.mu.Lock()
		l.closed = true
		l.news.Broadcast()
		l.mu.Unlock()
	})
	defer late.Stop()
	l.mu.Lock()
	defer l.mu.Unlock()
	for {
		if i := bytes.Index(l.seen[from:], []byte(text)); i >= 0 {
			return l.when(from + i + len(text))
		}
		if l.closed {
			require.Fail(l.t, "no such output", "%q within %v, but %q", text, patience, l.seen[from:])
		}
		l.news.Wait()
	}
}

// when is the time at which so much had come.
func (l *line) when(bytes int) time.Time {
	for _, c := range l.chunks {
		if c.end >= bytes {
			return c.at
		}
	}
	return time.Time{}
}

// traces leaves out what takes strace where there is none, or where it may not trace.
func traces(t *testing.T, what string) {
	t.Helper()
	if exec.Command("strace", "-o", "/dev/null", "true").Run() != nil {
		t.Skipf("NOT TESTED: %s. This takes strace, which is not installed or may not trace here.", what)
	}
}

// silence is how long a program may take to paint on a terminal that answers nothing. Bubbletea itself would wait for five
// seconds.
const silence = 3 * time.Second

func TestSilentTerminal(t *testing.T) {
	t.Parallel()
	bin, job := build(t), benchJob(t, "job.toml", "blue")
	book := filepath.Join(t.TempDir(), "book.db")
	for _, kind := range []string{"xterm-256color", "linux", "dumb", ""} {
		l := newLine(t, [2]int{80, 24}, []string{"TERM=" + kind}, exec.Command(bin, "bench", "--book", book, job))
		l.until("1/64", 0, silence)
		before := l.so()
		l.write("\x1b[C")
		l.until("2/64", before, silence)
		l.write("q")
		require.NoError(t, l.end(), "%q", kind)
		if kind != "xterm-256color" {
			assert.NotContains(t, l.all(), question, "%q would show it", kind)
		}
	}
}

// background of a theme is what sets it.
func backgroundOf(t *testing.T, name string) string {
	t.Helper()
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetColorProfile(termenv.TrueColor)
	th, err := theme.New(r, name)
	require.NoError(t, err)
	return regexp.MustCompile(`48;2;[0-9;]+`).FindString(th.Paint("x"))
}

// A terminal that answers in whatever pieces gets the theme of its background, and nothing of the answer becomes a key.
func TestBackgroundOfTheTerminal(t *testing.T) {
	t.Parallel()
	bin, job := build(t), benchJob(t, "job.toml", "blue")
	const st, bel = "\x1b\\", "\a"
	for _, c := range []struct {
		what   string
		pieces []string
		theme  string
	}{
		{"white", []string{answer + "rgb:ffff/ffff/ffff" + st + "x"}, "light"},
		{"white, closed by a bell", []string{"a" + answer + "rgb:ff/ff/ff" + bel, "x"}, "light"},
		{"paper, in pieces", []string{"a\x1b]1", "1;rg", "b:fafa/f8f8/f3f3\x1b", "\\", "x"}, "light"},
		{"black", []string{answer + "rgb:0000/0000/0000" + st, "x"}, "dark"},
		{"slate, in pieces", []string{answer + "rgb:1212/18", "18/1c1c" + st + "x"}, "dark"},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			book := filepath.Join(t.TempDir(), "book.db")
			l := newLine(t, [2]int{80, 24}, nil, exec.Command(bin, "bench", "--book", book, job))
			l.until("1/64", 0, patience)
			l.until(question, 0, patience)
			before := l.so()
			l.write("n") // in a note every key is a letter
			l.until("Note", before, patience)
			for _, piece := range c.pieces {
				l.write(piece)
				time.Sleep(20 * time.Millisecond) // so that the next piece is read by itself
			}
			l.write("\r")
			l.until("noted: ", before, patience)
			l.write("q")
			require.NoError(t, l.end())

			jobs := exported(t, bin, book)
			require.Len(t, jobs, 1)
			note := "x"
			if strings.HasPrefix(c.pieces[0], "a") {
				note = "ax"
			}
			assert.Equal(t, []typed{{Kind: "note", Step: 1, Why: note}}, jobs[0].Events)
			assert.Equal(t, c.theme == "light", bytes.Contains(l.raw, []byte(backgroundOf(t, "light"))), "the light background")
			assert.Contains(t, string(l.raw), backgroundOf(t, "dark"), "the background before the answer")
		})
	}
}
