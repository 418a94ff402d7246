package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
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

// After whatever keys a real terminal shows what it shows when it is wiped and everything is painted anew.
func TestTerminalShowsWhatWasPainted(t *testing.T) {
	t.Parallel()
	d := newDesk(t, [2]int{80, 24}, []string{"COLORTERM=truecolor"}, build(t), "bench", "--hold", hold, "--theme", "dark", "--book", filepath.Join(t.TempDir(), "book.db"), benchJob(t, "job.toml", "blue"))
	d.untilStep(1)
	// painted is what is seen when a picture has come to its end, where the cursor waits.
	painted := func() (rows string) {
		d.until("whole picture", func(string) bool {
			cursor, cells, _ := strings.Cut(d.tmux("display-message", "-p", "-t", "0", "#{cursor_x} #{cursor_y}", ";", "capture-pane", "-p", "-e", "-N", "-t", "0"), "\n")
			var g glass.Screen
			g.Write([]byte(strings.ReplaceAll(cells, "\n", "\r\n")))
			cells, _, _ = strings.Cut(g.String(), "\n23 ") // then comes the glass's own cursor
			rows = passing.ReplaceAllString(cells, "0 min")
			return cursor == "0 23"
		})
		return rows
	}
	const work, slipped = "CLAMP ON B on M3R", "1  the gripper slipped"
	for _, keys := range [][][2]string{
		{{"Space", "2/64"}, {"Space", "3/64"}, {"Space", "4/64"}},
		{{"f", "far is on"}},
		{{"Space", "5/64"}, {"Space", "6/64"}},
		{{"f", "CLAMP OFF S"}, {"v", "head right"}},
		{{"Space", "7/64"}, {"Space", "8/64"}, {"b", "NUMBERS"}},
		{{"Escape", work}},
		{{"s", slipped}, {"2", "How"}},
		{{"Escape", slipped}, {"BSpace", work}},
		{{"?", "never mind"}},
		{{"q", work}},
		{{"w", "What went wrong?"}, {"1", "enter 1"}},
		{{"Escape", work}, {"Right", "9/64"}, {"Right", "10/64"}},
	} {
		for _, k := range keys {
			d.press(k[0])
			d.untilSays(k[1])
		}
		before := painted()
		d.tmux("send-keys", "-R", "-t", "0")
		require.NoError(t, syscall.Kill(d.pid(), syscall.SIGWINCH))
		now := painted()
		for end := time.Now().Add(patience); now != before && time.Now().Before(end); now = painted() {
			time.Sleep(painting)
		}
		require.Equal(t, now, before, "after %v", keys)
	}
}

// passing is the time that a job has been in work, which goes on by itself.
var passing = regexp.MustCompile(`\d+ min`)
