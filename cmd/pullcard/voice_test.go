package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/cmd/internal/voice"
)

// ran is a command in this process: its exit status and both its outputs.
func ran(args ...string) (status int, out, problems string) {
	var o, e strings.Builder
	status = run(args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

// How it is called wrongly is said in its own words, and what is near.
func TestVoice(t *testing.T) {
	for args, want := range map[string]string{
		"--versoin":                 `pullcard has no flag --versoin; did you mean "--version"?; see pullcard --help`,
		"steps -x":                  "steps has no flag -x",
		"steps":                     "it is called as pullcard steps JOB.toml",
		"steps a b":                 "it is called as pullcard steps JOB.toml",
		"room opn":                  `there is no command "opn" of room; did you mean "open"?`,
		"bench --hold soon x":       `--hold is "soon", which it cannot be; write --hold DURATION: `,
		"bed --loss":                "--loss stands without a value; write --loss FLOAT: ",
		"book job add --string x":   "add has no flag --string; did you mean --crosses (crosses from: the stock of the crosses' string) or --mains (mains from: the stock of the mains' string)?; see",
		"book job add --strings x":  "did you mean --crosses (crosses from: the stock of the crosses' string) or --mains (",
		"book job add --strnger x":  `did you mean "--stringer"?`,
		"book stock add --gauge x":  "did you mean --diameter (gauge: as \"1.25 mm\")?",
		"book stock add --string x": "did you mean --name (string: the string's name, the same as in the job)?",
		"benhc":                     `there is no command and no file "benhc"; did you mean "bench"?`,
	} {
		status, _, problems := ran(strings.Fields(args)...)
		assert.Equal(t, exitUse, status, args)
		assert.Contains(t, problems, want, args)
	}
	status, out, _ := ran("--version")
	assert.Equal(t, exitDone, status)
	assert.Regexp(t, `^pullcard version \S+`, out)
}

// What is below the book is there for whoever asks for it, and nobody waits for it who does not.
func TestBookCommandsAreMadeForWhoAsks(t *testing.T) {
	for args, want := range map[string]bool{"": false, "bench job.toml": false, "book": true, "--json book player add": true, "help book": true,
		"man pages": true, "__complete book ": true} {
		of, _, err := command(strings.Split(args, " ")...).Find([]string{"book"})
		require.NoError(t, err)
		assert.Equal(t, want, of.HasSubCommands(), args)
	}
}

// For scripts what is wrong is JSON too, each thing with its place.
func TestProblemsAsJSON(t *testing.T) {
	path := jobFile(t, "job.toml", "blue", "club-sixteen", "two-piece-skip") + ".wrong"
	require.NoError(t, os.WriteFile(path, []byte("frame = 1\nbogus = 2\n"), 0o600))
	for args, want := range map[string][]voice.Complaint{
		"steps --json nosuch.toml": {{Problem: "nosuch.toml: no such file", Remedy: "name a file that can be read"}},
		"steps --json":             {{Problem: "pullcard: it is called as pullcard steps JOB.toml [flags]", Remedy: "see pullcard --help"}},
	} {
		_, _, problems := ran(strings.Fields(args)...)
		var is []voice.Complaint
		require.NoError(t, json.Unmarshal([]byte(problems), &is), problems)
		assert.Equal(t, want, is)
	}
	_, _, problems := ran("steps", "--json", path)
	var is []voice.Complaint
	require.NoError(t, json.Unmarshal([]byte(problems), &is))
	require.NotEmpty(t, is)
	for _, c := range is {
		assert.Equal(t, path, c.File)
		assert.Positive(t, c.Line)
		assert.NotEmpty(t, c.Problem)
	}
}

// Names in the book complete by letters and numbers, frames and sheets by theirs.
func TestCompletion(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	status, _, _ := ran("--book", path, "book", "player", "add", "--name", "Ada Winter (invented)")
	require.Equal(t, exitDone, status)
	sheet := files(t, "sheet.toml", "name = \"House\"\npieces = 2\n")
	for _, args := range []string{"book sheet add --name house-two --from " + sheet, "book racket add --player ada --mark blue --frame club-sixteen",
		"book job add --racket blue --technique house-two --tension 24_kg"} {
		call := append([]string{"--book", path}, strings.Fields(args)...)
		call[len(call)-1] = strings.ReplaceAll(call[len(call)-1], "_", " ")
		status, _, wrong := ran(call...)
		require.Equal(t, exitDone, status, wrong)
	}
	for args, want := range map[string]string{
		"book player show a":           "Ada Winter (invented)\tplayer 1\n:4\n",
		"book player correct 1":        "1\tAda Winter (invented)\n:4\n",
		"book racket add --player AD":  "Ada Winter (invented)\tplayer 1\n:4\n",
		"book player show b":           ":4\n",
		"book racket add --frame club": "club-sixteen\n",
		"book job add --technique x":   "two-piece-skip\n",
		"strain --against x":           "two-piece-skip\n",
		"steps --against h":            "house-two\n",
		"book job add --technique h":   "house-two\n",
		"check h":                      "house-two\n",
		"check c":                      "club-sixteen\n",
		"book sheet show h":            "house-two\tsheet 1\n:4\n",
		"book racket show b":           "blue\tracket 1\n:4\n",
		"book job show 1":              "1\tjob 1, Ada Winter (invented), blue, waits\n:4\n",
		"ticket --id 1":                "1\tjob 1, Ada Winter (invented), blue, waits\n:4\n",
	} {
		_, out, _ := ran(append([]string{"--book", path, "__complete"}, strings.Fields(args)...)...)
		assert.Contains(t, out, want, args)
	}
}
