package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func rackOfANewHouse(t *testing.T, bin string) {
	home := t.TempDir()
	d := newDesk(t, [2]int{80, 24}, []string{"HOME=" + home, "XDG_DATA_HOME=", "PULLCARD_BOOK="}, bin, "--hold", hold)
	d.untilSays("which racket goes on the bench?")
	assert.Contains(t, d.untilSays("Demo player (invented)"), "demo, all of it invented")
	d.press("Enter")
	for n := range 3 {
		d.untilStep(n + 1)
		d.press("Space")
	}
	d.untilStep(4)
	d.press("q")
	screen := d.untilSays("in progress")
	assert.Contains(t, screen, "left just now")
	assert.Equal(t, 1, strings.Count(screen, "Demo player (invented)"), "it is listed once")
	d.press("Enter")
	d.untilSays("TAKE UP AGAIN")
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
		files[i] = benchJob(t, racket+".toml", racket)
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
	d.press("Down")
	d.untilSays(`did you mean "club-sixteen"?`)
	d.press("Enter")
	d.untilSays("this job cannot be strung as it is")
	d.press("Up")
	d.press("Up")
	d.until("red chosen", func(s string) bool { return strings.Contains(s, "▶ Ada Example · red") })
	d.press("Enter")
	d.untilSays("TAKE UP AGAIN")
	d.press("Enter")
	assert.Contains(t, d.untilStep(2), "Ada Example · red")
}
