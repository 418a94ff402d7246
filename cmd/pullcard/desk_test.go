package main

import (
	"context"
	"os"
	"path/filepath"
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
	"pullcard/tui"
	"pullcard/tui/bench"
	"pullcard/tui/theme"
)

// typist is somebody who types at the program itself, without a terminal, on a book of their own; every key is counted.
type typist struct {
	t    *testing.T
	h    *house
	m    tea.Model
	msgs chan tea.Msg
	keys int
}

func newTypist(t *testing.T) *typist {
	settings := filepath.Join(t.TempDir(), "settings.toml")
	require.NoError(t, os.WriteFile(settings, nil, 0o600))
	t.Setenv("PULLCARD_SETTINGS", settings)
	s, err := openShop(context.Background(), filepath.Join(t.TempDir(), "book.db"), book.Open)
	require.NoError(t, err)
	t.Cleanup(func() { s.Book.Close() })
	k := &typist{t: t, h: in(s), msgs: make(chan tea.Msg, 1000)}
	look, err := theme.New(lipgloss.NewRenderer(nil), theme.Plain)
	require.NoError(t, err)
	m := tui.New(tui.Rack(k.h, bench.Settings{Now: clock, Theme: look}), tui.Options{Theme: look, Now: clock})
	k.m = m
	k.send(tea.WindowSizeMsg{Width: 100, Height: 30})
	k.run(m.Init())
	return k.shows("Demo player")
}

// run carries out what a key asked for.
func (k *typist) run(cmd tea.Cmd) {
	if cmd != nil {
		go func() { k.msgs <- cmd() }()
	}
}

// settle takes what comes until for some time nothing has.
func (k *typist) settle(quiet time.Duration) {
	for {
		select {
		case msg := <-k.msgs:
			if batch, several := msg.(tea.BatchMsg); several {
				for _, c := range batch {
					k.run(c)
				}
				continue
			}
			k.send(msg)
		case <-time.After(quiet):
			return
		}
	}
}

func (k *typist) send(msg tea.Msg) {
	var cmd tea.Cmd
	k.m, cmd = k.m.Update(msg)
	k.run(cmd)
}

// press types keys by their names.
func (k *typist) press(keys ...string) *typist {
	k.t.Helper()
	for _, name := range keys {
		k.keys++
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
		for _, special := range []tea.KeyType{tea.KeyEnter, tea.KeyEsc, tea.KeyDown, tea.KeyLeft, tea.KeyTab, tea.KeyCtrlN, tea.KeyCtrlS} {
			if special.String() == name {
				msg = tea.KeyMsg{Type: special}
			}
		}
		k.send(msg)
		k.settle(120 * time.Millisecond)
	}
	return k
}

// write types a text, whose letters are not counted: a name or a value has as many as it has.
func (k *typist) write(text string) *typist {
	k.press(strings.Split(text, "")...)
	k.keys -= len(strings.Split(text, ""))
	return k
}

// counted is how many keys it took since it was asked last.
func (k *typist) counted() int {
	n := k.keys
	k.keys = 0
	return n
}

func (k *typist) shows(texts ...string) *typist {
	k.t.Helper()
	for _, text := range texts {
		for from := time.Now(); !strings.Contains(ansi.Strip(k.m.View()), text); k.settle(50 * time.Millisecond) {
			if time.Since(from) > patience {
				require.Contains(k.t, ansi.Strip(k.m.View()), text)
			}
		}
	}
	return k
}

func (k *typist) list(kind records.Name) []book.Record {
	list, err := k.h.Book.Find(context.Background(), kind, "", 0)
	require.NoError(k.t, err)
	return list
}

// What a shop does all day takes few keys: counted in the program as it is, on a book on the disk.
func TestKeysOfTheDesk(t *testing.T) {
	sweep.Only(t)
	k := newTypist(t)
	k.press("b", "ctrl+n").write("Ada Winter (invented)").press("ctrl+s").shows("Ada Winter (invented) is in the book")
	assert.LessOrEqual(t, k.counted(), 3, "a player: beside the name")

	k.press("a", "r").write("blue dot").press("enter").write("club-sixteen").press("ctrl+s").shows("RACKETS")
	k.counted()
	k.press("enter", "a").shows("NEW JOB").press("down", "down", "down").shows("▶ technique     ▏needed")
	k.press("s", "k").shows("▶ two-piece-skip").press("enter").shows("▶ tension").press("2", "4", " ", "k", "g", "ctrl+s").shows("is in the book")
	assert.LessOrEqual(t, k.counted(), 20, "the first job of the first racket, letters and all")
	jobs := k.list(records.KindJob)
	require.Len(t, jobs, 1)
	assert.Equal(t, "two-piece-skip", jobs[0].Fields["technique"])
	k.press("esc").shows("PLAYER")
	k.press("a", "r").shows("NEW RACKET").write("red dot").press("enter").write("cl").press("ctrl+s").shows("red dot is in the book")
	k.press("enter").shows("RACKET").counted()
	k.press("a").shows("NEW JOB").press("down", "down", "down").shows("two-piece-skip, as this frame was last").press("down", "2", "3", " ", "k", "g", "ctrl+s").shows("is in the book")
	assert.LessOrEqual(t, k.counted(), 20, "the first job of a racket, letters and all")
	jobs = append(jobs, k.list(records.KindJob)[0])
	assert.Equal(t, []string{"two-piece-skip", "23 kg", "club-sixteen"}, []string{jobs[1].Fields["technique"], jobs[1].Fields["tension"], jobs[1].Fields["frame"]})
	require.NoError(t, k.h.Shop.Remove(context.Background(), jobs[1].UID, true))
	k.nearly(jobs[0].UID)
	k.press("esc", "esc", "esc").shows("64/64").counted()

	k.press("1", "enter").shows("Does all stand so").press("enter").shows("64/64").press(" ").shows("This racket is strung").counted()
	k.press("g").write("590 Hz").press("ctrl+s").shows("This racket is strung", "590 Hz is in the book")
	assert.LessOrEqual(t, k.counted(), 3, "a reading: beside its value")
	k.press("u").shows("NEW VERDICT").press("r", "ctrl+s").shows("This racket is strung")
	assert.LessOrEqual(t, k.counted(), 3, "the player's word")
	k.press("l").shows("nothing prints yet")
	assert.Equal(t, 1, k.counted(), "a ticket")
	k.press("h").shows("HAND OVER", "Ada Winter (invented)").write("18 EUR").press("ctrl+s").shows("This racket is strung", "job 1 is handed over to Ada Winter (invented)")
	assert.LessOrEqual(t, k.counted(), 2, "handed over from the bench: beside the price")
	fetched := records.As[records.Job](k.list(records.KindJob)[0].Fields)
	assert.Equal(t, []string{"18 EUR", "Ada Winter (invented)"}, []string{string(fetched.Price), fetched.To})
	assert.WithinDuration(t, clock(), fetched.Handed.Time(), 2*time.Minute)
	k.press("q").shows("which racket").counted()
	assert.Len(t, k.list(records.KindReading), 1)
	assert.Equal(t, "right", k.list(records.KindVerdict)[0].Label())

	k.press("a", "a", "d", "enter", "b", "enter", "ctrl+s").shows("which racket", "Ada Winter (invented) · blue dot")
	assert.LessOrEqual(t, k.counted(), 8, "as last time, letters and all")
	require.Len(t, k.list(records.KindJob), 2)
	assert.Equal(t, "24 kg", k.list(records.KindJob)[0].Fields["tension"])
}

// Two rackets of a lot: the first is strung, the next one comes with one key, and what its player says sets that with few.
func TestKeysOfALot(t *testing.T) {
	sweep.Only(t)
	k, ctx := newTypist(t), context.Background()
	put := func(kind records.Name, fields records.Fields) string {
		r, err := k.h.Shop.Add(ctx, kind, fields, clock())
		require.NoError(t, err)
		return r.UID
	}
	ada := put(records.KindPlayer, records.Fields{"name": "Ada (invented)"})
	lot := put(records.KindLot, records.Fields{"player": ada, "name": "two"})
	var jobs []string
	for _, mark := range []string{"blue", "red"} {
		racket := put(records.KindRacket, records.Fields{"player": ada, "mark": mark, "frame": "club-sixteen"})
		jobs = append(jobs, put(records.KindJob, records.Fields{"racket": racket, "lot": lot, "technique": "two-piece-skip", "tension": "24 kg"}))
	}
	k.nearly(jobs[0])
	k.press("b", "esc").shows("64/64").press("1", "enter").shows("Does all stand").press("enter").shows("64/64").press(" ").shows("This racket is strung").counted()
	k.press("x").shows("red", "1/64")
	assert.Equal(t, 1, k.counted(), "the next of the lot")
	k.press("q").shows("which racket")
	k.press("b", "left", "b", "l", "u", "enter").shows("JOB", "strung").press("h").shows("HAND OVER").press("ctrl+s").shows("is handed over to Ada (invented)")
	assert.LessOrEqual(t, k.counted(), 9, "handed over from the rack, letters and all")
	k.press("esc", "esc", "esc", "esc").shows("which racket").counted()

	_, err := k.h.Shop.Add(ctx, records.KindVerdict, records.Fields{"job": jobs[0], "answer": "too tight, a bit"}, clock())
	require.NoError(t, err)
	k.press("enter").shows("MOVES DOWN", "decide first")
	k.press("enter", "enter").shows("decided: 23.5 kg")
	assert.LessOrEqual(t, k.counted(), 4, "a lot's decision from the rack")
	k.press("q").shows("which racket").press("b").press("left", "enter").shows("LOT").counted()
	k.press("v").shows("MOVES DOWN")
	k.press("enter", "enter").shows("decided: 23.5 kg")
	assert.LessOrEqual(t, k.counted(), 4, "a lot's decision")
	j, err := k.h.Book.Record(ctx, jobs[1])
	require.NoError(t, err)
	assert.Equal(t, "23.5 kg", j.Fields["tension"])
}

func chosenRow(frame string) string {
	for line := range strings.SplitSeq(frame, "\n") {
		if strings.Contains(line, "▶") {
			return line
		}
	}
	return ""
}

// nearly strings a racket all but its last step.
func (k *typist) nearly(uid string) {
	k.t.Helper()
	ctx := context.Background()
	b, err := k.h.Shop.Open(ctx, uid)
	require.NoError(k.t, err)
	for n := range len(b.Plan.Steps) - 1 {
		require.NoError(k.t, b.Recorder.Record(ctx, progress.Event{At: clock(), Kind: progress.Done, Step: n + 1}))
	}
}
