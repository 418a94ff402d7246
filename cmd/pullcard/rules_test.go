package main

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/book"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/tui/browse"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// bookCounter is a shop as the screens of its book see it.
type bookCounter struct{ *shop.Shop }

func (bookCounter) Bench(string) (screen.Screen, error)      { return nil, nil }
func (bookCounter) Sheet(string) (screen.Screen, error)      { return nil, nil }
func (bookCounter) Verdicts(string) (screen.Screen, error)   { return nil, nil }
func (bookCounter) Print(context.Context, ...string) error   { return nil }
func (c bookCounter) count(t *testing.T, k records.Name) int { t.Helper(); return len(c.all(t, k)) }

func (c bookCounter) all(t *testing.T, k records.Name) []book.Record {
	t.Helper()
	list, err := c.Book.Find(context.Background(), k, "", 0)
	require.NoError(t, err)
	return list
}

// formKeys is a record's form on the screen.
type formKeys struct {
	t *testing.T
	m browse.Model
}

func (c bookCounter) form(t *testing.T, kind records.Name, fields records.Fields) *formKeys {
	t.Helper()
	k, _ := records.Find(kind)
	names := map[string]string{}
	list, err := c.Book.Records(context.Background(), k.References(fields)...)
	require.NoError(t, err)
	for uid, r := range list {
		names[uid] = r.Label()
	}
	look, err := theme.New(lipgloss.NewRenderer(nil), theme.Plain)
	require.NoError(t, err)
	return &formKeys{t, browse.New(c, look, false, clock).SetSize(200, 60).Add(kind, fields, names)}
}

// press types a key, and carries out what it asked for.
func (f *formKeys) press(msg tea.KeyMsg) *formKeys {
	var cmd tea.Cmd
	for f.m, cmd = f.m.Update(msg); cmd != nil; {
		next := cmd()
		if _, several := next.(tea.BatchMsg); several || next == nil {
			break
		}
		f.m, cmd = f.m.Update(next)
	}
	return f
}

func (f *formKeys) write(text string) *formKeys {
	for _, r := range text {
		f.press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	return f
}

func (f *formKeys) shows(text string) {
	f.t.Helper()
	require.Contains(f.t, strings.Join(strings.Fields(ansi.Strip(f.m.View())), " "), text)
}

// Every rule of what goes into the book, by command and by screen: what is refused, what is asked, and that the reason is kept.
func TestRulesBothWays(t *testing.T) {
	path, tell := bookAt(t)
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	t.Cleanup(func() { s.Book.Close() })
	c := bookCounter{s}
	put := func(args ...string) string {
		var list []struct{ UID string }
		require.NoError(t, json.Unmarshal([]byte(tell(slices.Concat([]string{"book"}, args, []string{"--json"})...)), &list))
		return list[0].UID
	}
	ada, bo := put("player", "add", "--name", "Ada (invented)"), put("player", "add", "--name", "Bo (invented)")
	blue, green := put("racket", "add", "--player", ada, "--mark", "blue", "--frame", "club-sixteen"), put("racket", "add", "--player", bo, "--mark", "green", "--frame", "club-sixteen")
	lot := put("lot", "add", "--player", bo, "--name", "the open")
	window := put("machine", "add", "--name", "by the window")
	round := put("stock", "add", "--name", "Invented round", "--form", "reel", "--length", "200 m", "--diameter", "1.25 mm", "--material", "polyester")
	scrap := put("stock", "add", "--name", "Invented scrap", "--form", "reel", "--length", "20 m")
	strung := put("job", "add", "--racket", blue, "--technique", "two-piece-skip", "--tension", "24 kg", "--mains", round)
	stringJob(t, path, strung, clock().Add(-2*time.Hour), time.Second)
	put("verdict", "add", "--job", strung, "--answer", "too tight, a bit")
	waits := put("job", "add", "--racket", green, "--technique", "two-piece-skip", "--tension", "24 kg")

	job := func(pairs ...string) records.Fields {
		f := records.Fields{"racket": blue, "technique": "two-piece-skip", "mains": round, "tension": "23 kg"}
		for i := 0; i < len(pairs); i += 2 {
			f[pairs[i]] = pairs[i+1]
		}
		return f
	}
	const refusedAlways, asked, why = 0, 1, 2
	for i, rule := range []struct {
		kind   records.Name
		fields records.Fields
		says   string
		answer int
	}{
		{records.KindJob, job("tension", "28 kg"), "mains at 28 kg lie above the frame's printed range", why},
		{records.KindJob, job("tension", "25 kg"), "boosted mains are pulled at 27.5 kg, above the frame's printed range", why},
		{records.KindJob, job("tension", "23 lb"), "the unit looks wrong for tennis; is 23 kg meant?", why},
		{records.KindJob, job("tension", "24.5 kg"), "24.5 kg goes against the player's word", why},
		{records.KindJob, job("tension", "24 kg"), "24 kg goes against the player's word", why},
		{records.KindJob, job("tension", ""), "24 kg goes against the player's word", why}, // as last time
		{records.KindJob, records.Fields{"player": bo}, "write it, as \"club-sixteen\"; there is no last time to take it from", refusedAlways},
		{records.KindJob, job("technique", "no-such-sheet"), "\"no-such-sheet\" is neither a built-in technique sheet nor a file", refusedAlways},
		{records.KindJob, job("player", bo), "(blue) is Ada (invented)'s, and the job for Bo (invented); name one of Bo (invented)'s", refusedAlways},
		{records.KindJob, job("lot", lot), "lot 1 (the open) is Bo (invented)'s", refusedAlways},
		{records.KindJob, records.Fields{"racket": green, "technique": "two-piece-skip", "tension": "24 kg"}, "of this racket waits already; is this a second one?", asked},
		{records.KindJob, job("promised", "1931-05-04 17:30"), "1931-05-04 17:30 is over", asked},
		{records.KindJob, job("promised", "2931-05-04"), "days ahead; was it promised for then?", asked},
		{records.KindVerdict, records.Fields{"job": waits, "answer": "right"}, "has not been strung yet; a verdict is of a strung racket", refusedAlways},
		{records.KindReading, records.Fields{"job": waits, "value": "600 Hz"}, "that job has not been strung yet", refusedAlways},
		{records.KindReading, records.Fields{"job": strung, "value": "1400 Hz"}, "times what the bed computes to", asked},
		{records.KindReading, records.Fields{"job": strung, "value": "300 Hz"}, "times what the bed computes to", asked},
		{records.KindGauge, records.Fields{"machine": window, "set": "24 kg", "read": "72 kg"}, "72 kg where 24 kg was set is 3 times as much", asked},
		{records.KindCut, records.Fields{"stock": scrap, "length": "21 m", "for": "offcut"}, "21 m is more than there is: Invented scrap has 20.0 m left", asked},
		{records.KindCut, records.Fields{"stock": scrap, "length": "16 m", "for": "job", "job": strung}, "16 m is more than one racket takes", asked},
		{records.KindStocktaking, records.Fields{"stock": scrap, "left": "21 m"}, "21 m is more than was bought", asked},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "reel", "length": "200 m", "bought": "2931-05-04"}, "2931-05-04 has not come yet", asked},
		{records.KindStock, records.Fields{"name": "Invented soft", "form": "reel", "length": "1200 m"}, "a reel of 1200.0 m is longer than any", asked},
		{records.KindPlayer, records.Fields{"name": "ADA (invented)"}, "is called \"Ada (invented)\" already; is this another one?", asked},
		{records.KindRacket, records.Fields{"player": ada, "mark": "Blue"}, "is called \"blue\" already", asked},
		{records.KindMachine, records.Fields{"name": "By the window"}, "is called \"by the window\" already", asked},
		{records.KindLot, records.Fields{"player": ada, "name": "The open"}, "is called \"the open\" already", asked},
		{records.KindSheet, records.Fields{"name": "house/two"}, "\"house/two\" would be a path", refusedAlways},
	} {
		if !sweep.Take(i, 5) {
			continue
		}
		t.Run(string(rule.kind)+" "+rule.says, func(t *testing.T) {
			n := c.count(t, rule.kind)
			args := []string{"book", string(rule.kind), "add"}
			for _, key := range slices.Sorted(maps.Keys(rule.fields)) {
				args = append(args, "--"+key, rule.fields[key])
			}
			assert.Contains(t, refused(t, path, args...), rule.says)
			form := c.form(t, rule.kind, rule.fields).press(tea.KeyMsg{Type: tea.KeyCtrlS})
			form.shows(rule.says)
			require.Equal(t, n, c.count(t, rule.kind), "nothing was written")
			k, _ := records.Find(rule.kind)
			reason, asks := k.Reason()
			if rule.answer == refusedAlways {
				if asks {
					assert.Contains(t, refused(t, path, append(args, "--because", "all the same")...), rule.says)
				}
				return
			}
			kept := func(want string) {
				t.Helper()
				list := c.all(t, rule.kind)
				require.Len(t, list, n+1)
				i := slices.IndexFunc(list, func(r book.Record) bool { return r.Fields[reason.Key] == want })
				require.GreaterOrEqual(t, i, 0, "the reason is kept")
				require.NoError(t, c.Remove(context.Background(), list[i].UID, true))
			}
			if rule.answer == why {
				assert.Contains(t, refused(t, path, append(args, "--yes")...), rule.says, "it takes a reason")
				form.press(tea.KeyMsg{Type: tea.KeyCtrlS}).shows(rule.says)
				require.Equal(t, n, c.count(t, rule.kind))
				form.write("as asked at the desk").press(tea.KeyMsg{Type: tea.KeyCtrlS})
				kept("as asked at the desk")
				tell(append(args, "--because", "as asked by letter")...)
				kept("as asked by letter")
				return
			}
			form.press(tea.KeyMsg{Type: tea.KeyCtrlS})
			kept(records.ItIsSo)
			tell(append(args, "--yes")...)
			kept(records.ItIsSo)
		})
	}
}

// What hangs on a record is told before it is removed, by command and by screen.
func TestRemovalBothWays(t *testing.T) {
	path, tell := bookAt(t)
	tell("book", "player", "add", "--name", "Ada (invented)")
	tell("book", "racket", "add", "--player", "ada", "--mark", "blue", "--frame", "club-sixteen")
	assert.Contains(t, refused(t, path, "book", "player", "remove", "ada"), "is named by 1 racket, which stay in the book; is it to be removed?; if it is, say --yes")
	s, err := openShop(context.Background(), path, book.Open)
	require.NoError(t, err)
	t.Cleanup(func() { s.Book.Close() })
	c := bookCounter{s}
	look, err := theme.New(lipgloss.NewRenderer(nil), theme.Plain)
	require.NoError(t, err)
	f := &formKeys{t, browse.New(c, look, false, clock).SetSize(200, 60).Start(records.KindPlayer, c.all(t, records.KindPlayer)[0].UID)}
	f.m, _ = f.m.Update(f.m.Init()())
	f.write("d").shows("d again removes it")
	f.shows("it is named by 1 racket")
	require.Equal(t, 1, c.count(t, records.KindPlayer))
	f.write("d")
	require.Zero(t, c.count(t, records.KindPlayer))
}

// The second of two benches that begin one job file is told, and nothing of it is kept.
func TestTwoBenchesBeginOneFile(t *testing.T) {
	path, _ := bookAt(t)
	file := benchJob(t, "job.toml", "blue")
	var benches []shop.Bench
	for range 2 {
		s, err := openShop(context.Background(), path, book.Open)
		require.NoError(t, err)
		t.Cleanup(func() { s.Book.Close() })
		w, err := s.Load(file)
		require.NoError(t, err)
		b, err := s.OpenFile(context.Background(), file, w)
		require.NoError(t, err)
		benches = append(benches, b)
	}
	require.NoError(t, benches[0].Recorder.Record(context.Background(), progress.Event{At: clock(), Kind: progress.Done, Step: 1}))
	require.ErrorContains(t, benches[1].Recorder.Record(context.Background(), progress.Event{At: clock(), Kind: progress.Done, Step: 1}), "was begun meanwhile at another bench, as job 1; leave this one and take that up from the rack")
	var out, wrong bytes.Buffer
	require.Zero(t, run([]string{"--book", path, "book", "export", "--json"}, strings.NewReader(""), &out, &wrong), wrong.String())
	var jobs []struct{ ID int }
	require.NoError(t, json.Unmarshal(out.Bytes(), &jobs))
	assert.Len(t, jobs, 1)
}
