package shop

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// ownSheet is the built-in sheet with a lead of its own, and why.
func ownSheet(t *testing.T, lead string) string {
	t.Helper()
	data, ok := library.Technique("two-piece-skip")
	require.True(t, ok)
	text := strings.Replace(string(data), "lead  = 3", "lead  = "+lead+" # the hoop is wide", 1)
	require.NotEqual(t, string(data), text)
	return text
}

// What the house keeps is named by jobs, corrected with history, and goes along to another book.
func TestTheHousesWay(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	path := files(t, "house.toml", ownSheet(t, "2"))
	sheet, err := c.Keep(ctx, records.KindSheet, "", records.Fields{"name": "house-two", "file": path}, "")
	require.NoError(t, err)
	layout, _ := library.Layout("club-sixteen")
	_, err = c.Keep(ctx, records.KindFrame, "", records.Fields{"name": "club-own", "file": files(t, "own.toml", strings.Replace(string(layout), `"27 kg"`, `"28 kg"`, 1))}, "")
	require.NoError(t, err)
	require.NoError(t, os.Remove(path), "the book needs the file no more")

	job, err := c.Keep(ctx, records.KindJob, "", records.Fields{"racket": c.racket, "frame": "club-own", "technique": "house-two", "tension": "25 kg"}, "")
	require.NoError(t, err, "25 kg and its boost lie in the range of the house's frame, not of the built-in one")
	assert.Equal(t, "house-two", job.Fields["technique"])
	bench, err := c.Open(ctx, job.UID)
	require.NoError(t, err)
	assert.Equal(t, 2, bench.Plan.Totals.MaxLead)

	found, err := c.Find(ctx, records.KindSheet, "", "two")
	require.NoError(t, err)
	require.Len(t, found, 1)
	list, err := c.Queue(ctx)
	require.NoError(t, err)
	steps := list[0].steps

	// Corrected, it is another plan for what waits, and what it said stays known.
	_, err = c.Keep(ctx, records.KindSheet, sheet.UID, records.Fields{"file": files(t, "h.toml", ownSheet(t, "1"))}, "the frames twist")
	require.NoError(t, err)
	bench, err = c.Open(ctx, job.UID)
	require.NoError(t, err)
	assert.Equal(t, 1, bench.Plan.Totals.MaxLead)
	list, err = c.Queue(ctx)
	require.NoError(t, err)
	assert.NoError(t, list[0].Err)
	assert.Equal(t, len(bench.Plan.Steps), list[0].steps, "%d before", steps)
	page, err := c.Page(ctx, sheet.UID)
	require.NoError(t, err)
	require.Len(t, page.Corrections, 1)
	assert.Contains(t, page.Corrections[0].Before["text"], "lead  = 2")
	require.Len(t, page.Below, 2)
	assert.Equal(t, Section{Title: "what it said before", Lines: []Line{{Text: "until " + day(c.Now()) + ", the frames twist: one side runs ahead by 2 pulls at most · the hoop is wide"}}}, page.Below[1])
	var lines []string
	for _, l := range page.Below[0].Lines {
		lines = append(lines, l.Text)
	}
	assert.Contains(t, lines, "one side runs ahead by 1 pull at most · the hoop is wide")
	assert.Contains(t, lines, "a run outside takes 6 hole-steps at most · as usual; the sheet does not say")

	// Removal says what hangs on it.
	require.ErrorContains(t, c.Remove(ctx, sheet.UID, false), "sheet 1 (house-two) is named by 1 job, which stay in the book")

	// It goes along where the book goes.
	whole := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, c.Book.Backup(ctx, whole, nil))
	other := newShop(t)
	_, err = other.Book.Import(ctx, whole, time.Now(), nil)
	require.NoError(t, err)
	bench, err = other.Open(ctx, job.UID)
	require.NoError(t, err)
	assert.Equal(t, 1, bench.Plan.Totals.MaxLead)
	require.NoError(t, other.Remove(ctx, sheet.UID, true))
	_, err = other.Open(ctx, job.UID)
	require.ErrorContains(t, err, `"house-two" is neither a built-in technique sheet nor a file that can be read`)
}

// A path is one of the disk, a bare name the house's, then what is built in, then a file.
func TestWhatANameMeans(t *testing.T) {
	c, ctx := newTill(t), context.Background()
	dir := filepath.Dir(files(t, "two-piece-skip", strings.Replace(ownSheet(t, "1"), "Two pieces, skip start", "A file", 1), "job.toml", "",
		"bare", strings.Replace(ownSheet(t, "1"), "Two pieces, skip start", "Bare", 1)))
	load := func(sheet string) (string, error) {
		w, err := c.Work(filepath.Join(dir, "job.toml"), []byte("frame = \"club-sixteen\"\ntechnique = \""+sheet+"\"\n[tension]\nmains = \"24 kg\"\n"))
		if err != nil {
			return "", err
		}
		return w.Technique.Name, nil
	}
	means := func(sheet, want string) {
		t.Helper()
		got, err := load(sheet)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	means("two-piece-skip", "Two pieces, skip start")
	means("./two-piece-skip", "A file")
	means("bare", "Bare")
	for _, name := range []string{"two-piece-skip", "bare"} {
		_, err := c.Add(ctx, records.KindSheet, records.Fields{"name": name, "text": strings.Replace(ownSheet(t, "2"), "Two pieces, skip start", "House", 1)}, time.Now())
		require.NoError(t, err)
		means(name, "House")
	}
	means("./two-piece-skip", "A file")

	for written, want := range map[string]string{
		"a/b":            "name: \"a/b\" would be a path",
		"x.toml":         "name: \"x.toml\" would be a path",
		"two-piece-skip": "name: sheet 1 is called \"two-piece-skip\" already, and a job that names it means one",
	} {
		_, err := c.Keep(ctx, records.KindSheet, "", records.Fields{"name": written, "text": ownSheet(t, "2")}, "")
		assert.ErrorContains(t, err, want)
	}
	_, err := c.Keep(ctx, records.KindSheet, "", records.Fields{"name": "none"}, "")
	require.ErrorContains(t, err, "file: name the file of the technique sheet")
	_, err = c.Keep(ctx, records.KindSheet, "", records.Fields{"name": "bad", "file": files(t, "bad.toml", "name = \"x\"\npieces = 3\nled = 2\n")}, "")
	require.ErrorContains(t, err, "bad.toml:2:10: pieces is 3; write 1 to 2")
	require.ErrorContains(t, err, "bad.toml:3:1:", "everything at once")
	_, err = c.Correct(ctx, c.player, book.Change{Fields: records.Fields{"technique": "bare"}, At: time.Now()})
	require.NoError(t, err)
}
