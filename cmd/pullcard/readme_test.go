package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// marks are those of each player's rackets; four of the rackets have a twin, whose mark has the same word.
var marks = []string{"blue", "red", "white", "green"}

// fortyRackets fills a book with twelve players, forty rackets, two machines and twelve jobs, of which the last so many are strung
// and read, the newest Ada's blue one. All of it is invented.
func fortyRackets(t *testing.T, path string, strung int) {
	t.Helper()
	ctx := context.Background()
	s, err := openShop(ctx, path, book.Open)
	require.NoError(t, err)
	defer s.Book.Close()
	add := func(kind records.Name, fields records.Fields) string {
		r, err := s.Add(ctx, kind, fields, s.Now())
		require.NoError(t, err)
		return r.UID
	}
	machines := []string{add(records.KindMachine, records.Fields{"name": "by the window"}), add(records.KindMachine, records.Fields{"name": "at the door"})}
	add(records.KindStringer, records.Fields{"name": "Cy (invented)"})
	add(records.KindStock, records.Fields{"name": "Invented round", "form": "reel", "length": "200 m", "diameter": "1.25 mm", "material": "polyester"})
	var rackets []string
	for i, name := range []string{"Ada", "Bo", "Cleo", "Dora", "Emil", "Finn", "Gina", "Hugo", "Ida", "Jan", "Kim", "Lars"} {
		player := add(records.KindPlayer, records.Fields{"name": name + " (invented)"})
		for n := range 3 {
			rackets = append(rackets, add(records.KindRacket, records.Fields{"player": player, "mark": marks[n], "frame": "club-sixteen"}))
		}
		if i < 4 {
			add(records.KindRacket, records.Fields{"player": player, "mark": marks[i] + " twin", "frame": "club-sixteen"})
		}
	}
	for i := range 12 {
		racket := rackets[(11-i)*3]
		uid := add(records.KindJob, records.Fields{"racket": racket, "technique": "two-piece-skip", "tension": "24 kg / 23 kg", "machine": machines[i%2]})
		if i >= 12-strung {
			stringJob(t, path, uid, s.Now().Add(-time.Duration(13-i)*time.Hour), time.Second)
			add(records.KindReading, records.Fields{"job": uid, "value": fmt.Sprintf("%d Hz", 560+i), "with": "tap"})
		}
	}
}

// split takes a line of the README's apart as a shell does, without what follows a #.
func split(line string) (words []string) {
	for _, m := range regexp.MustCompile(`#.*|((?:[^\s"#]|"[^"]*")+)`).FindAllStringSubmatch(line, -1) {
		if m[1] != "" {
			words = append(words, strings.ReplaceAll(m[1], `"`, ""))
		}
	}
	return words
}

// What the README tells to type in a shop's book is typed, line by line, in one of forty rackets.
func TestREADMECommands(t *testing.T) {
	path, _ := bookAt(t)
	fortyRackets(t, path, 4)
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, text, _ := strings.Cut(string(readme), "\n## The book\n")
	text, _, _ = strings.Cut(text, "\n## ")
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("job.toml", []byte("frame = \"club-sixteen\"\ntechnique = \"two-piece-skip\"\n[tension]\nmains = \"24 kg\"\n[machine]\nname = \"at the door\"\n"), 0o600))
	require.NoError(t, os.WriteFile("players.csv", []byte("name,plays\nNora (invented),2\n"), 0o600))
	lines := 0
	for line := range strings.Lines(text) {
		command, ok := strings.CutPrefix(line, "    pullcard ")
		if !ok || strings.Contains(command, "baseline") && !sweep.Take(1, 2) { // which takes twenty strung rackets
			continue
		}
		args := split(strings.ReplaceAll(command, "17:30", "23:59"))
		var out, wrong bytes.Buffer
		got := run(append([]string{"--book", path}, args...), strings.NewReader(""), &out, &wrong)
		if strings.Contains(command, "baseline") {
			assert.Contains(t, wrong.String(), "20", "it says how many it takes")
			continue
		}
		assert.Equal(t, exitDone, got, "%s: %s", command, wrong.String())
		lines++
	}
	assert.Greater(t, lines, 15)
}

// The files of the README's first racket are those that its commands take.
func TestREADMEFirstRacket(t *testing.T) {
	sweep.Only(t)
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, text, _ := strings.Cut(string(readme), "\n## A first racket in five minutes\n")
	text, _, _ = strings.Cut(text, "\n## ")
	t.Chdir(t.TempDir())
	files := 0
	for _, block := range regexp.MustCompile("(?s)```toml\n# (\\w+\\.toml)\n.*?```").FindAllStringSubmatch(text, -1) {
		require.NoError(t, os.WriteFile(block[1], []byte(strings.TrimSuffix(strings.TrimPrefix(block[0], "```toml\n"), "```")), 0o600))
		files++
	}
	assert.Equal(t, 2, files)
	lines := 0
	for line := range strings.Lines(text) {
		command, ok := strings.CutPrefix(line, "    go run ./cmd/pullcard ")
		if !ok || strings.HasPrefix(command, "bench ") { // which is a screen
			continue
		}
		var out, wrong bytes.Buffer
		assert.Equal(t, exitDone, run(append([]string{"--book", "none.db"}, split(command)...), strings.NewReader(""), &out, &wrong), "%s: %s", command, wrong.String())
		lines++
	}
	assert.Equal(t, 3, lines)
}

// A record is found by several words in any order, over all that it is: its own name, its owner's, of a job also where it stands.
func TestSearch(t *testing.T) {
	path, tell := bookAt(t)
	fortyRackets(t, path, 1)
	day := time.Now().Add(-2*time.Hour + 64*time.Second).Format(time.DateOnly) // when the newest was strung, which is yesterday after midnight
	tell("book", "lot", "add", "--player", "bo", "--name", "saturday")
	tell("book", "job", "correct", "10", "--promised", "2099-05-04 17:30", "--stringer", "cy", "--mains", "round", "--because", "far ahead")
	for words, want := range map[string][]int64{
		"blue ada": {12}, "ada blue strung": {12}, "strung": {12}, "waits window cleo": {}, "cleo waits door": {10}, "door cleo 2099-05-04 17:30": {10},
		"cy round": {10}, "round cy cleo blue waits": {10}, "job11": {11}, "strung " + day + " ada": {12}, "nobody": {},
	} {
		list := decode[[]recordOf](t, tell(append([]string{"book", "job", "find", "--json"}, strings.Fields(words)...)...))
		ids := []int64{}
		for _, r := range list {
			ids = append(ids, r.ID)
		}
		assert.Equal(t, want, ids, words)
	}
	rackets := decode[[]recordOf](t, tell("book", "racket", "--json", "twin", "cleo"))
	require.Len(t, rackets, 1)
	assert.Equal(t, "white twin", rackets[0].Fields["mark"])

	// Whose racket is meant follows from the player; what may be several is told with whose it is and where it stands.
	two := decode[[]recordOf](t, tell("book", "job", "add", "--player", "dora", "--racket", "green", "--technique", "two-piece-skip", "--tension", "24 kg", "--json"))
	assert.Equal(t, "green twin", two[0].Names["racket"])
	assert.Equal(t, "Dora (invented)", two[0].Names["player"])
	text := refused(t, path, "book", "racket", "show", "blue")
	assert.Contains(t, text, `"blue" may be 12: `)
	assert.Contains(t, text, "(blue, Lars (invented))")
	assert.Contains(t, text, " and 4 more; write the number, or more words")
	assert.Contains(t, refused(t, path, "book", "job", "show", "window"), "(job 11, Bo (invented), blue, waits)")
	assert.Contains(t, tell("book", "job", "find", "ada"), "strung 24 kg / 23 kg")
}
