package main

import (
	"context"
	"database/sql"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	_ "modernc.org/sqlite"

	"pullcard/patterns/sweep"
)

// The brackets in which a terminal puts what is pasted, as xterm has them.
const opening, closing = "\x1b[200~", "\x1b[201~"

// endless is after what time of quiet a paste has ended although its closing bracket has not come.
const endless = 2 * time.Second

// keyed is a bench on a line whose every byte is seen.
type keyed struct {
	*line
	bin, book string
}

// newKeyed opens a bench on a fresh job; around is put before its command.
func newKeyed(t *testing.T, around ...string) *keyed {
	bin := build(t)
	b := &keyed{bin: bin, book: filepath.Join(t.TempDir(), "book.db")}
	command := append(around, bin, "bench", "--book", b.book, benchJob(t, "job.toml", "blue"))
	b.line = newLine(t, [2]int{80, 24}, nil, exec.Command(command[0], command[1:]...))
	b.until("1/64", 0, patience)
	return b
}

// apart is longer than the usual hold: a key that comes so late counts.
const apart = 800 * time.Millisecond

// press types keys apart, each when the one before has come to something.
func (b *keyed) press(key, says string) {
	b.t.Helper()
	time.Sleep(apart)
	from := b.so()
	b.write(key)
	b.until(says, from, patience)
}

// leave leaves the bench and holds that the book has these events and no more.
func (b *keyed) leave(want ...typed) {
	b.t.Helper()
	time.Sleep(apart)
	b.write("q")
	require.NoError(b.t, b.end())
	jobs := exported(b.t, b.bin, b.book)
	require.Len(b.t, jobs, 1)
	assert.Equal(b.t, want, jobs[0].Events)
}

func (b *keyed) since(from int) string { return b.all()[from:] }

// lock holds the book's lock as another program would, until it is let go.
func (b *keyed) lock() (letGo func()) {
	b.t.Helper()
	db, err := sql.Open("sqlite", b.book)
	require.NoError(b.t, err)
	conn, err := db.Conn(context.Background())
	require.NoError(b.t, err)
	_, err = conn.ExecContext(context.Background(), "BEGIN IMMEDIATE")
	require.NoError(b.t, err)
	return func() {
		_, err := conn.ExecContext(context.Background(), "ROLLBACK")
		assert.NoError(b.t, err)
		conn.Close()
		db.Close()
	}
}

// hammer types keys of all kinds, one after the other, for a time.
func (b *keyed) hammer(d time.Duration) {
	for end := time.Now().Add(d); time.Now().Before(end); {
		for _, key := range []string{" ", "\r", "\x1b[6~", "\x7f", "s", "w", "1", "p"} {
			b.write(key)
			time.Sleep(30 * time.Millisecond)
		}
	}
}

// While another program holds the book for some seconds, what is typed marks nothing, and the screen says that it saves.
func TestKeysWhileTheBookIsHeld(t *testing.T) {
	t.Parallel()
	b := newKeyed(t)
	b.press(" ", "2/64")
	letGo := b.lock()
	time.Sleep(apart)
	from, at := b.so(), time.Now()
	b.write(" ")
	b.hammer(2 * time.Second)
	assert.GreaterOrEqual(t, b.until("saving…", from, patience).Sub(at), 300*time.Millisecond, "nothing flickers while a write is quick")
	assert.NotContains(t, b.since(from), "3/64")
	b.write("\x1b[C") // looking around works
	b.until("3/64", from, patience)
	from = b.so()
	letGo()
	b.until("space", from, patience)
	b.press("\x7f", "2/64")
	b.leave(typed{Kind: "done", Step: 1}, typed{Kind: "done", Step: 2}, typed{Kind: "back", Step: 3})
}

// A write that failed is told of in bytes that the terminal got, and stands whatever is typed until it was seen; nothing
// that was typed before is obeyed after that.
func TestNotSavedStands(t *testing.T) {
	t.Parallel()
	b := newKeyed(t)
	b.press(" ", "2/64")
	letGo := b.lock()
	time.Sleep(apart)
	from := b.so()
	b.write(" ")
	for !strings.Contains(b.since(from), "NOT SAVED, so not counted:") {
		require.Less(t, time.Since(b.started), patience)
		b.hammer(200 * time.Millisecond)
	}
	from = b.so()
	letGo()
	for _, key := range []string{"n", "w", "x", "p", "\x1b[C", "\x1b[D"} {
		b.write(key)
		time.Sleep(100 * time.Millisecond)
	}
	assert.NotContains(t, b.since(from), "keys • q", "the line of keys has not taken its place")
	b.press(" ", "space") // which only acknowledges: the book says so
	b.press(" ", "3/64")
	b.leave(typed{Kind: "done", Step: 1}, typed{Kind: "done", Step: 2})
}

// On a disk that takes two seconds for every flush a step is shown as done when it is on it, and what is typed meanwhile
// marks nothing.
func TestKeysWhileTheDiskIsSlow(t *testing.T) {
	sweep.Only(t)
	traces(t, "A SLOW DISK")
	t.Parallel()
	b := newKeyed(t, "strace", "-f", "-o", "/dev/null", "-e", "trace=fsync,fdatasync", "-e", "inject=fsync,fdatasync:delay_enter=2000000", "--")
	time.Sleep(apart)
	from, at := b.so(), time.Now()
	b.write(" ")
	b.until("saving…", from, patience)
	b.hammer(time.Second)
	assert.GreaterOrEqual(t, b.until("2/64", from, patience).Sub(at), 2*time.Second, "not before it is on the disk")
	b.press(" ", "3/64")
	b.leave(typed{Kind: "done", Step: 1}, typed{Kind: "done", Step: 2})
}

// Two keys in turn, however long, are two held keys.
func TestTwoKeysHeldInTurn(t *testing.T) {
	sweep.Only(t)
	t.Parallel()
	b := newKeyed(t)
	time.Sleep(apart)
	for range 150 {
		b.write(" ")
		time.Sleep(10 * time.Millisecond)
		b.write("x")
		time.Sleep(10 * time.Millisecond)
	}
	b.press("\x1b[6~", "3/64") // a pedal's sequence is one key
	b.leave(typed{Kind: "done", Step: 1}, typed{Kind: "done", Step: 2})
}

// A paste marks nothing, with brackets or without, at whatever length, and the screen says so; in a note it is text. Keys
// that come after it count again.
func TestPastes(t *testing.T) {
	t.Parallel()
	const dropped = "a burst of keys, as a paste makes, was dropped: nothing was marked"
	for i, c := range []struct{ what, text string }{
		{"four keys", " \rs1"},
		{"a strung racket", strings.Repeat(" x", 5000)},
		{"ten thousand keys", strings.Repeat(" \r\x1b[6~s1\r\x7fwn q", 10_000/12)},
		{"words with line ends", strings.Repeat("done with this one\r\n", 50)},
		{"pedals", strings.Repeat("\x1b[6~\x1b[5~", 30)},
	} {
		for k, brackets := range []bool{false, true} {
			if !sweep.Take(2*i+k, 5) {
				continue
			}
			t.Run(fmt.Sprintf("%s, brackets %v", c.what, brackets), func(t *testing.T) {
				t.Parallel()
				b := newKeyed(t)
				from := b.so()
				paste := c.text
				if brackets {
					paste = opening + c.text + closing
				}
				b.write(paste)
				b.until(dropped, from, patience)
				time.Sleep(apart)
				assert.NotContains(t, b.since(from), "2/64")
				b.press(" ", "2/64")
				b.press("n", "› ")
				from = b.so()
				b.write("the awl is blunt")
				b.until("blunt", from, patience)
				b.press("\r", "noted: the awl is blunt")
				b.leave(typed{Kind: "done", Step: 1}, typed{Kind: "note", Step: 2, Why: "the awl is blunt"})
			})
		}
	}
}

// A paste whose closing bracket does not come ends by itself; ctrl+c in a burst leaves.
func TestPasteWithoutAnEnd(t *testing.T) {
	t.Parallel()
	b := newKeyed(t)
	b.write(opening + "some words")
	b.until("a burst of keys", 0, patience)
	time.Sleep(endless + apart)
	b.press(" ", "2/64")
	b.write("\x03\x03\x03\x03\x03\x03")
	require.NoError(t, b.end())
}

// A terminal that is too small takes no key, and has lost nothing when it has grown.
func TestTooSmallTerminal(t *testing.T) {
	t.Parallel()
	b := newKeyed(t)
	b.press(" ", "2/64")
	size := func(columns, rows uint16, says string) {
		from := b.so()
		require.NoError(t, unix.IoctlSetWinsize(int(b.master.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: columns, Row: rows}))
		b.until(says, from, patience)
	}
	size(50, 10, "at least 60×20")
	time.Sleep(apart)
	b.hammer(time.Second)
	size(80, 24, "2/64")
	size(50, 10, "at least 60×20")
	b.leave(typed{Kind: "done", Step: 1})
}
