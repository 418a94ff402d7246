package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/terminal/glass"
)

// A key of the way through a racket sends the terminal no more than what changes.
func TestBytesOfAKey(t *testing.T) {
	t.Parallel()
	for colours, most := range map[string]int{"truecolor": 2000, "": 1600} {
		t.Run(colours, func(t *testing.T) {
			t.Parallel()
			l := newLine(t, [2]int{80, 24}, []string{"COLORTERM=" + colours}, exec.Command(build(t), "bench", "--hold", "1ms", "--theme", "dark", "--book", filepath.Join(t.TempDir(), "book.db"), benchJob(t, "job.toml", "blue")))
			l.until(fmt.Sprintf("1/%d", steps), 0, patience)
			rest(20e6, 30e6)
			sum, keys := 0, 0
			for n := 2; n <= steps; n++ {
				from, before := l.so(), l.came()
				l.write(" ")
				l.until(fmt.Sprintf("%d/%d", n, steps), from, patience)
				rest(20e6, 30e6)
				if !strings.Contains(l.all()[from:], "saving…") { // which a machine with other work shows
					sum += l.came() - before
					keys++
				}
			}
			require.Greater(t, keys, steps/2)
			t.Logf("%d bytes a key, of %d", sum/keys, keys)
			assert.LessOrEqual(t, sum/keys, most)
			l.write("q")
			require.NoError(t, l.end())
		})
	}
}

// After whatever keys a real terminal shows what it shows when everything is painted anew.
func TestTerminalShowsWhatWasPainted(t *testing.T) {
	t.Parallel()
	d := newDesk(t, [2]int{80, 24}, []string{"COLORTERM=truecolor"}, build(t), "bench", "--hold", hold, "--theme", "dark", "--book", filepath.Join(t.TempDir(), "book.db"), benchJob(t, "job.toml", "blue"))
	d.untilSays("1/")
	painted := func() string {
		var g glass.Screen
		g.Write([]byte(strings.ReplaceAll(d.tmux("capture-pane", "-p", "-e", "-N", "-t", "0"), "\n", "\r\n")))
		rows, _, _ := strings.Cut(g.String(), "\n23 ") // then comes the place of the cursor
		return rows
	}
	for _, keys := range [][]string{
		{"Space", "Space", "Space"}, {"f"}, {"Space", "Space"}, {"f", "v"}, {"Space", "Space", "b"}, {"Escape"}, {"s", "2"}, {"Escape", "BSpace"}, {"?"}, {"q"}, {"w", "1"}, {"Escape", "Right", "Right"},
	} {
		for _, k := range keys {
			d.press(k)
		}
		time.Sleep(quietly)
		before := painted()
		for _, width := range []string{"81", "80"} {
			d.tmux("resize-window", "-t", "0", "-x", width, "-y", "24")
			time.Sleep(quietly)
		}
		require.Equal(t, painted(), before, "after %v", keys)
	}
}

// quietly is longer than a picture takes to come and to be changed again by itself.
const quietly = 300 * time.Millisecond
