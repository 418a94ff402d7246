package browse

import (
	"fmt"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/records"
	"pullcard/tui/internal/golden"
	"pullcard/tui/theme"
)

// states are screens in every state that has a look of its own.
func states(t testing.TB, ascii bool) map[string]*rig {
	newRig := func(t testing.TB, b *memory) *rig { return rigWith(t, b, ascii) }
	return map[string]*rig{
		"list":    newRig(t, till()),
		"rackets": newRig(t, till()).press("right"),
		"jobs":    newRig(t, till()).press("left"),
		"found":   newRig(t, till()).write("wint"),
		"empty":   newRig(t, &memory{}),
		"player":  newRig(t, till()).press("enter"),
		"racket":  newRig(t, till()).press("right", "down", "enter"),
		"job":     newRig(t, till()).press("left", "enter"),
		"away":    newRig(t, till()).press("enter", "d"),
		"which":   newRig(t, till()).press("enter", "a"),
		"form":    newRig(t, till()).press("left", "ctrl+n").write("a"),
		"tension": newRig(t, till()).press("left", "ctrl+n").to("tension").write("24"),
		"blank":   newRig(t, lasting()).press("left", "ctrl+n", "tab").write("blue").press("enter").to("tension"),
		"hand":    newRig(t, fetched()).press("left", "enter", "h"),
		"choice":  newRig(t, till()).press("left", "enter", "a", "v", "right"),
		"correct": newRig(t, till()).press("right", "down", "enter", "e").to("frame"),
		"wrong":   newRig(t, till()).press("right", "right", "ctrl+n").to("form").press("r").to("length").write("200 mm").to("sets").write("x").press("ctrl+s"),
	}
}

func lasting() *memory {
	b := till()
	b.blank = map[string]string{"frame": "club-sixteen, the racket's", "tension": "24 kg / 23 kg, as last time", "mains": "Invented Poly 1.25, as wished for every racket"}
	return b
}

func fetched() *memory {
	b := till()
	b.strung = true
	return b
}

func TestFrames(t *testing.T) {
	for name, r := range states(t, false) {
		for _, s := range golden.Sizes() {
			r.m = r.m.SetSize(s[0], s[1])
			golden.Exact(t, r.m.View(), s[0], s[1])
			golden.Check(t, *update, "browse_"+fmt.Sprintf("%s_%dx%d", name, s[0], s[1]), r.screen())
		}
		coloured := r.m.SetTheme(golden.Theme(t, "dark", termenv.TrueColor))
		plain := r.screen()
		r.m = coloured
		require.Equal(t, plain, r.screen(), "colours change no word")
		for _, s := range golden.Odd() {
			golden.Exact(t, r.m.SetSize(s[0], s[1]).View(), s[0], s[1])
		}
	}
	require.Empty(t, New(till(), golden.Theme(t, theme.Plain, termenv.Ascii), false, clock).View(), "before the size is known")
}

func TestASCII(t *testing.T) {
	for name, r := range states(t, true) {
		golden.Check(t, *update, "browse_"+name+"_ascii_80x24", r.screen())
		golden.ASCII(t, r.screen())
	}
}

// Whatever people are called, every screen is as large as the terminal and nothing steers it.
func TestHostileNames(t *testing.T) {
	sweep.Only(t)
	names := golden.Texts()
	rapid.Check(t, sweep.Some(4, func(rt *rapid.T) {
		b := till()
		name, mark := names.Draw(rt, "name"), names.Draw(rt, "mark")
		ada := b.record("player-2")
		ada.Fields["name"], ada.Fields["notes"] = name, mark
		b.record("racket-2").Fields["mark"] = mark
		b.record("job-1").Fields["notes"] = name
		width, height := rapid.IntRange(1, 130).Draw(rt, "width"), rapid.IntRange(1, 40).Draw(rt, "height")
		r := newRig(t, b)
		r.m = r.m.SetTheme(golden.Theme(t, "plain", termenv.Ascii)).SetSize(width, height)
		see := func() {
			golden.Exact(t, r.m.View(), width, height)
			for _, c := range r.m.View() {
				require.False(t, c < ' ' && c != '\n' || c == '\u202e' || c == '\u2028', "%q", c)
			}
		}
		see()
		for _, k := range []string{"enter", "e", "tab", "esc", "a", "j", "x", "esc", "esc", "down", "enter", "a", "esc", "esc", "esc", "left", "enter", "e", "down"} {
			r.press(k)
			see()
		}
	}))
}

// Every line of a long page can be reached, and the way back leads past all of them.
func TestScroll(t *testing.T) {
	b := till()
	for i := range 40 {
		b.put(records.KindRacket, "player", "player-2", "mark", fmt.Sprintf("mark %02d", i))
	}
	r := newRig(t, b).write("ada").press("enter")
	r.m = r.m.SetSize(60, 20)
	seen := r.screen()
	for range 80 {
		seen += r.press("down").screen()
	}
	for i := range 40 {
		require.Contains(t, seen, fmt.Sprintf("mark %02d", i))
	}
	require.Contains(t, seen, "JOBS")
	r.shows("▶ 2026-10-20 · 2026-11-21T17:30:00Z")
	for range 80 {
		r.press("up")
	}
	r.shows("added", "▶ 2026-12-01 · mark 39")
	r.press("pgdown", "pgdown", "pgdown", "pgdown", "pgdown").shows("JOBS")
	r.press("pgup", "pgup", "pgup", "pgup", "pgup").shows("added")
	list := newRig(t, b).press("right")
	list.m = list.m.SetSize(60, 20)
	for range 60 {
		list.press("down")
	}
	list.shows("▶ green tape").press("pgup").hides("▶ green tape")
}

func BenchmarkView(b *testing.B) {
	r := newRig(b, till()).press("enter")
	r.m = r.m.SetSize(200, 60)
	for b.Loop() {
		r.m.View()
	}
}
