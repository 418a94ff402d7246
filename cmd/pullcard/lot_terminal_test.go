package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lotOfSeven strings seven rackets of one player in a real terminal: the first one, its verdict kept on the screen of the
// lot, then the other six as that suggests; the queue, the stock, the tickets and the chart follow.
func lotOfSeven(t *testing.T, bin string) {
	path, tell := bookAt(t)
	job := files(t, "job.toml", lotJob)
	tell("book", "player", "add", "--name", "Ada Winter (invented)", "--plays", "3")
	for n := range 7 {
		tell("book", "racket", "add", "--player", "ada", "--mark", fmt.Sprintf("blue %d", n+1))
	}
	tell("book", "stock", "add", "--name", "Invented round", "--form", "reel", "--length", "200 m", "--diameter", "1.25 mm")
	tell("book", "lot", "add", "--player", "ada", "--name", "Saturday's seven")
	tell("book", "lot", "fill", "saturday", "--from", job, "--promised", "23:59")

	d := newDesk(t, [2]int{100, 30}, nil, bin, "--book", path, "--hold", "0s", "--stringer", "Cy (invented)")
	strung := func(mark string) {
		d.untilSays("▶ Ada Winter (invented) · " + mark)
		d.press("Enter")
		assert.Contains(t, d.untilStep(1), mark)
		for n := 1; n <= steps; n++ {
			d.untilStep(n)
			d.press("Space")
		}
		d.untilSays("This racket is strung.")
		d.press("q")
		d.untilSays("which racket goes on the bench?")
	}
	strung("blue 1")
	theVerdict(t, d)
	for n := 2; n <= 7; n++ {
		strung(fmt.Sprintf("blue %d", n))
	}
	d.press("q")
	assert.Equal(t, 0, d.over())

	jobs := exported(t, bin, path)
	require.Len(t, jobs, 7)
	for _, j := range jobs {
		assert.Equal(t, "done", j.State)
		assert.Len(t, j.Events, 64)
	}
	lengths := decode[lengthsOf](t, tell("cut", "--json", job))
	each := lengths.Pieces[0].CutMM + lengths.Pieces[1].CutMM
	assert.InDelta(t, 200000-7*each, onlyShelf(t, path).Left(), 7*1.001)
	theTickets(t, tell)
	chart := tell("book", "chart", "--ascii")
	assert.Contains(t, chart, "6 stringings")
	assert.Contains(t, chart, "1 are not in it", "the first had been played with when it was read")
	assert.Contains(t, tell("book", "queue"), "from 7 rackets")
}

// theVerdict keeps that the first racket is plainly too tight, and decides as that suggests.
func theVerdict(t *testing.T, d *desk) {
	d.press("b")
	d.untilSays("RECORD BOOK")
	d.press("Left")
	d.untilSays("[jobs]")
	d.press("Left")
	d.untilSays("[lots]")
	d.untilSays("Saturday's seven")
	d.press("Enter")
	d.untilSays("v verdicts")
	d.press("v")
	d.untilSays("NOBODY HAS SAID YET")
	d.press("v")
	d.untilSays("what did the player say of blue 1?")
	d.press("2")
	d.untilSays("the player's own words")
	d.press("Enter")
	assert.Contains(t, d.untilSays("MOVES DOWN by 1 kg for the 6 that wait"), "mains 23 kg, crosses 22 kg")
	d.press("Enter")
	d.untilSays("enter again: 23 kg / 22 kg for the 6 that wait")
	d.press("Enter")
	d.untilSays("decided: 23 kg / 22 kg for the 6 that wait")
	d.press("q")
	d.untilSays("v verdicts")
	d.press("Escape")
	d.untilSays("[lots]")
	d.press("Escape")
	d.untilSays("mains 23 kg, crosses 22 kg")
}

// theTickets prints what goes with each racket, and keeps a reading of it.
func theTickets(t *testing.T, tell func(...string) string) {
	dir := t.TempDir()
	for n := 1; n <= 7; n++ {
		pdf := filepath.Join(dir, fmt.Sprint(n, ".pdf"))
		tell("ticket", "--id", fmt.Sprint(n), "--form", "card", "--pdf", pdf)
		data, err := os.ReadFile(pdf)
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(string(data), "%PDF-"))
		text := tell("ticket", "--id", fmt.Sprint(n))
		assert.Contains(t, text, map[bool]string{true: "mains      24 kg", false: "mains      23 kg"}[n == 1])
		assert.Contains(t, text, "Cy (invented)")
		tell("book", "reading", "add", "--job", fmt.Sprint(n), "--value", fmt.Sprintf("%d Hz", 600+n%3))
	}
}
