package lot

import (
	"fmt"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/sweep"
	"pullcard/sequence/shop"
	"pullcard/tui/internal/golden"
	"pullcard/tui/theme"
)

// states are screens in every state that has a look of its own.
func states(t testing.TB, ascii bool) map[string]*rig {
	several := moved(t)
	several.Judgeable = append(several.Judgeable, shop.LotChoice{UID: "job-2", Name: "red dot"})
	two := sheet(suggest(t, past(t, 1, "24 kg/23 kg", "too tight, a bit")))
	two.Suggestion.Lines[0].Text += " – and 24,5 kg → 23 kg"
	strung := sheet(suggest(t, past(t, 1, "24 kg", "right")))
	strung.Waiting = 0
	return map[string]*rig{
		"moved":   rigWith(t, moved(t), ascii),
		"two":     rigWith(t, two, ascii),
		"stays":   rigWith(t, strung, ascii),
		"against": rigWith(t, sheet(suggest(t, past(t, 1, "24 kg", "too tight, a bit"), past(t, 4, "24 kg", "too loose, a bit"))), ascii),
		"not-yet": rigWith(t, notYet(t), ascii),
		"say":     rigWith(t, moved(t), ascii).press("+"),
		"decide":  rigWith(t, moved(t), ascii).press("+", "enter").write("wants bite"),
		"which":   rigWith(t, several, ascii).press("v"),
		"answer":  rigWith(t, several, ascii).press("v", "up", "enter"),
		"words":   rigWith(t, moved(t), ascii).press("v", "3").write("like a board"),
	}
}

func TestFrames(t *testing.T) {
	for name, r := range states(t, false) {
		for _, s := range golden.Sizes() {
			r.size(s[0], s[1])
			golden.Exact(t, r.m.View(), s[0], s[1])
			golden.Check(t, *update, "lot_"+fmt.Sprintf("%s_%dx%d", name, s[0], s[1]), r.screen())
		}
		plain := r.screen()
		r.m = r.m.SetTheme(golden.Theme(t, "dark", termenv.TrueColor))
		require.Equal(t, plain, r.screen(), "colours change no word")
		for _, s := range golden.Odd() {
			golden.Exact(t, r.m.SetSize(s[0], s[1]).View(), s[0], s[1])
		}
	}
	require.Empty(t, New(moved(t), &memory{}, golden.Theme(t, theme.Plain, termenv.Ascii), false).View(), "before the size is known")
}

func TestASCII(t *testing.T) {
	for name, r := range states(t, true) {
		golden.Check(t, *update, "lot_"+name+"_ascii_80x24", r.screen())
		golden.ASCII(t, r.screen())
	}
}

// Whatever people are called and type, every screen is as large as the terminal and nothing steers it.
func TestHostileText(t *testing.T) {
	texts := golden.Texts()
	rapid.Check(t, sweep.Some(10, func(rt *rapid.T) {
		s := moved(t)
		name := texts.Draw(rt, "name")
		s.Title, s.Rackets[0].Name, s.Rackets[0].Said, s.Rackets[1].State = name, name, texts.Draw(rt, "said"), name
		s.Suggestion.Lines[0].Text, s.None = texts.Draw(rt, "line"), rapid.SampledFrom([]string{"", name}).Draw(rt, "none")
		s.Judgeable = append(s.Judgeable, shop.LotChoice{UID: "job-2", Name: name})
		width, height := rapid.IntRange(1, 130).Draw(rt, "width"), rapid.IntRange(1, 40).Draw(rt, "height")
		r := newRig(t, s).size(width, height)
		typed := texts.Draw(rt, "typed")
		for _, k := range []string{"", "v", "enter", "3", typed, "enter", "pgdown", "-", "enter", typed, "enter"} {
			r.press(k)
			frame := r.m.View()
			golden.Exact(t, frame, width, height)
			for _, c := range frame {
				require.False(t, c < ' ' && c != '\n' || c == '\u202e' || c == '\u2028', "%q", c)
			}
		}
	}))
}

func BenchmarkView(b *testing.B) {
	r := newRig(b, moved(b)).size(200, 60)
	for b.Loop() {
		r.m.View()
	}
}
