package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/harmless"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/act"
)

// evil is what a terminal, a spreadsheet or an eye could be fooled with: ESCAPE, a C1 control, DELETE, a change of
// direction, characters without width, tags, a formula. Its bearer is invented.
const evil = "=e\x1b[31mv\u009b1mil\x7f\u202e\u200b\ufeff\U000e0041\a (invented)"

// inTOML writes a text in quotes, whatever it holds.
func inTOML(text string) string {
	var b strings.Builder
	for _, r := range text {
		fmt.Fprintf(&b, `\U%08X`, r)
	}
	return `"` + b.String() + `"`
}

// requireHarmless holds that what came out shows everything. Breaks of lines are its own.
func requireHarmless(t *testing.T, out, who string) {
	t.Helper()
	for _, r := range out {
		if r != '\n' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) {
			t.Fatalf("%s: %U comes out:\n%q", who, r, out)
		}
	}
}

// commandsOf lists every command that does something, as people type it.
func commandsOf(c *cobra.Command, before string) (all []string) {
	for _, sub := range c.Commands() {
		name := strings.TrimSpace(before + " " + sub.Name())
		if sub.Runnable() && sub.Name() != "help" {
			all = append(all, name)
		}
		all = append(all, commandsOf(sub, name)...)
	}
	return all
}

// Names and notes can hold anything; whatever writes, in whichever form, writes nothing that is obeyed.
func TestHostileNames(t *testing.T) {
	sweep.Only(t)
	path, tell := bookAt(t)
	dir := t.TempDir()
	file := func(name, text string) string {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
		return filepath.Join(dir, name)
	}
	made := func(name string) string { return filepath.Join(dir, name) }
	clubSixteen, _ := library.Layout("club-sixteen")
	layout := file("layout.toml", strings.Replace(string(clubSixteen), `"Club sixteen"`, inTOML(evil), 1))
	sheet := file("sheet.toml", "name = "+inTOML(evil)+"\n[mount]\nmark = "+inTOML(evil)+"\n[tie]\nknot = "+inTOML(evil)+"\n")
	text := strings.NewReplacer(`"club-sixteen"`, `"layout.toml"`, `"two-piece-skip"`, `"sheet.toml"`, `"Invented round"`, inTOML(evil), `"by the window"`, inTOML(evil)).Replace(lotJob)
	job := file("job.toml", "player = "+inTOML(evil)+"\nracket = "+inTOML(evil)+"\n"+text)
	wrong := file("wrong.toml", "player = "+inTOML(evil)+"\n"+inTOML("e\x1b\u202e")+" = 1\nframe = "+inTOML(evil)+"\ntechnique = "+inTOML(evil)+"\n[tension]\nmains = "+inTOML(evil)+"\n")
	t.Setenv("PULLCARD_SETTINGS", file("settings.toml", "# "+strings.NewReplacer("\x1b", "", "\a", "", "\x7f", "").Replace(evil)+"\n"))

	tell("book", "player", "add", "--name", evil, "--contact", evil, "--notes", evil)
	tell("book", "player", "add", "--name", evil+"2", "--notes", evil)
	tell("book", "racket", "add", "--player", "1", "--mark", evil)
	tell("book", "racket", "add", "--player", "1", "--mark", evil+"2")
	tell("book", "stock", "add", "--name", evil, "--form", "reel", "--length", "200 m")
	tell("book", "machine", "add", "--name", evil, "--notes", evil)
	tell("book", "machine", "add", "--name", evil+"2", "--notes", evil)
	tell("book", "stringer", "add", "--name", evil)
	tell("book", "stringer", "add", "--name", "Cy (invented)")
	tell("book", "lot", "add", "--player", "1", "--name", evil)
	jobs := decode[[]recordOf](t, tell("book", "lot", "fill", "1", "--from", job, "--json"))
	for i, hz := range []string{"600 Hz", "610 Hz"} {
		stringJob(t, path, jobs[i].UID, time.Now(), time.Second)
		tell("book", "reading", "add", "--job", fmt.Sprint(i+1), "--value", hz, "--with", evil)
	}
	tell("book", "verdict", "add", "--job", "1", "--answer", "right", "--notes", evil)

	// What each command is tried with; JSON wherever there is such. What it tries one by one it says as it says one.
	every := func(all, one string) string {
		if sweep.Take(1, 2) {
			return " " + all
		}
		return " " + one
	}
	tries := map[string][]string{
		"steps": {job, job + " --against two-piece-clamp", "--against " + sheet + " --json " + job, "--json " + job, "--csv " + job, "--markdown " + job, wrong}, "check": {job + " " + layout + " " + sheet, wrong, made(evil)},
		"cut": {job, "--json " + job, wrong}, "bed": {job, "--json " + job, "--svg " + made("bed.svg") + " " + job, wrong}, "tap": {made(evil)},
		"strain": {job + every("--against "+sheet+" --variants --gentlest --level", "--against "+sheet), "--json --against " + sheet + " " + job, "--svg " + made("strain.svg") + " " + job, wrong},
		"ticket": {"--id 1", "--id 1 --notes --columns 32", "--id 1 --svg " + made("label.svg"), "--id 1 --form card --svg " + made("card.svg"),
			"--id 1 --pdf " + made("label.pdf"), "--id 1 --steps-card " + made("steps.pdf"), "--stringer " + evil + " --id 1", job},
		"library": {"", "--json", evil}, "settings": {""}, "man": {made("man")}, "frame": {layout}, "bench": {job},
		"book": {""}, "book list": {""}, "book export": {"", made("whole")}, "book queue": {"", "--json"}, "book chart": {"", "--json", "--svg " + made("chart.svg")},
		"book feel": {job + " --like 1", job + " --like 1 --json"}, "book backup": {made("backup")}, "book check": {""},
		"book import": {made("whole"), made("whole") + " --json", made(evil)}, "book same": {"1 2"}, "book restore": {made(evil)},
		"book forget": {"1"}, "book stock order": {"", "--json"}, "book lot fill": {"1 --from " + wrong}, "book lot suggest": {"1", "1 --json"},
		"room": {""}, "room open": {evil}, "room rights": {evil, "dbname=" + evil}, "room join": {evil + " --as K", "host=" + dir + " --as " + evil}, "room state": {"", "--json"},
		"room sync": {""}, "room check": {""}, "room board": {evil}, "room repair": {evil}, "room leave": {""}, "book lot decide": {"1"}, "book machine compare": {"1 2", "1 2 --json"},
	}
	for _, kind := range []string{"player", "racket", "stock", "machine", "stringer", "lot", "job", "reading", "hoop", "verdict"} {
		for verb, with := range map[string][]string{
			"": {"", "--json", evil}, " find": {"", "--json"}, " show": {"1", "1 --json", evil}, " add": {"--" + evil, "--json"}, " correct": {"1", "1 --json --why " + evil, evil},
			" remove": {evil}, " recall": {evil},
		} {
			tries["book "+kind+verb] = with
		}
	}
	commands := commandsOf(command("book"), "")
	slices.Sort(commands)
	seen := 0
	for _, c := range commands {
		with, ok := tries[c]
		if !ok && strings.HasPrefix(c, "book ") { // a kind of record without a hostile one
			with, ok = []string{evil, "--json"}, len(strings.Fields(c)) > 2 || tries[c+" find"] == nil
		}
		require.True(t, ok, "%s is not tried", c)
		for _, more := range with {
			var args []string
			for _, arg := range strings.Split(strings.ReplaceAll(c+" "+more, evil, "\x00"), " ") {
				if arg != "" {
					args = append(args, strings.ReplaceAll(arg, "\x00", evil))
				}
			}
			var out, errs bytes.Buffer
			status := run(append([]string{"--book", path}, args...), strings.NewReader(""), &out, &errs)
			requireHarmless(t, out.String(), fmt.Sprintf("%q", args))
			requireHarmless(t, errs.String(), fmt.Sprintf("%q", args))
			if status == exitDone && slices.Contains(args, "--json") {
				require.True(t, json.Valid(out.Bytes()), "%q", args)
			}
			if strings.Contains(out.String(), "<U+202E>") || strings.Contains(out.String(), `\u202e`) {
				seen++
			}
		}
	}
	assert.Greater(t, seen, 40, "outputs that hold the text, and show it")
	for _, name := range []string{"bed.svg", "label.svg", "card.svg", "chart.svg", "whole"} {
		data, err := os.ReadFile(made(name))
		require.NoError(t, err)
		requireHarmless(t, string(data), name)
	}
	data, err := os.ReadFile(made("label.svg"))
	require.NoError(t, err)
	assert.Contains(t, string(data), "&lt;U+202E&gt;", "it is shown, harmless")

	// Each op has its words, as the table writes them.
	written := func(text string) string {
		var b bytes.Buffer
		require.NoError(t, harmless.WriteCSV(&b, [][]string{{"", text}}))
		rows, err := csv.NewReader(&b).ReadAll()
		require.NoError(t, err)
		return rows[0][1]
	}
	var out bytes.Buffer
	require.Equal(t, exitDone, run([]string{"steps", "--csv", job}, nil, &out, &out))
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	operation, all := slices.Index(rows[0], "op"), len(rows)
	rows = slices.DeleteFunc(rows, func(row []string) bool { return row[operation] == "" })
	besides := all - len(rows) // as to cut string to its length
	w, err := disk.Files().Load(job)
	require.NoError(t, err)
	var words []string
	table := act.Written()
	for i := range w.Plan.Steps {
		for _, a := range act.Of(w.Plan, i+1, nil) {
			if a.Ops == 0 {
				besides--
			}
			if a.Ops == 1 {
				require.Equal(t, written(table.Line(&a)), rows[1+len(words)][len(rows[0])-1])
			}
			for range a.Ops {
				words = append(words, rows[1+len(words)][len(rows[0])-1])
			}
		}
	}
	require.Len(t, rows, len(words)+1)
	assert.Zero(t, besides)
	assert.True(t, slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, strings.TrimPrefix(written(evil), "'")) }))
	player := decode[recordOf](t, tell("book", "player", "show", "2", "--json"))
	assert.Equal(t, evil+"2", player.Fields["name"])
}
