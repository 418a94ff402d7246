package frame

import (
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

// rig is a form and somebody who types, a key at a time.
type rig struct {
	t    testing.TB
	m    Model
	keys int
	msg  tea.Msg // what the form answered last
	kept file
}

func newRig(t testing.TB) *rig {
	r := &rig{t: t}
	r.m = New(r.settings()).SetSize(80, 24)
	return r
}

func editRig(t testing.TB, name string, data string) *rig {
	r := &rig{t: t}
	m, err := Edit(name, []byte(data), r.settings())
	require.NoError(t, err)
	r.m = m.SetSize(80, 24)
	return r
}

func (r *rig) settings() Settings {
	return Settings{Theme: golden.Theme(r.t, theme.Plain, termenv.Ascii), Save: func(name string, text []byte) (string, error) {
		r.kept = file{name, text}
		return name + ".toml", nil
	}}
}

// file is a layout that the form had kept.
type file struct {
	Name string
	Text []byte
}

// press gives the form keys by their names, one after the other.
func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		var cmd tea.Cmd
		r.m, cmd = r.m.Update(golden.Key(k))
		r.keys++
		r.msg = nil
		if cmd != nil {
			r.msg = cmd()
		}
	}
	return r
}

// enter types texts, each ended with enter.
func (r *rig) enter(texts ...string) *rig {
	for _, text := range texts {
		r.press(strings.Split(text, "")...).press("enter")
	}
	return r
}

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

// saved is the file that the form answered with, which must read without a problem.
func (r *rig) saved() (file, *patterns.Frame) {
	r.t.Helper()
	require.IsType(r.t, savedMsg{}, r.msg, "not saved:\n%s", r.screen())
	f, _, err := patterns.ReadLayout(r.kept.Name, r.kept.Text)
	require.NoError(r.t, err)
	return r.kept, f
}

// A usual 16×19 tennis frame takes 40 keys: at one key a second a third of two minutes.
func TestUsualFrameInFewKeys(t *testing.T) {
	r := newRig(t).enter("Club sixteen", "", "", "", "", "", "", "", "", "22-27 kg", "330x250", "", "")
	s, f := r.saved()
	assert.Equal(t, "club-sixteen", s.Name)
	assert.Equal(t, `name    = "Club sixteen"
sport   = "tennis"
mains   = 16
crosses = 19
skip    = ["7H", "9H", "7T", "9T"]  # the mains pass these by, the crosses use them
start   = "throat"                  # where the two centre mains loop
holes   = 35                        # a side

[tie]
mains   = ["8T"]  # both sides, unless one is named
crosses = ["6H", "6T"]

[hoop]
length = "330 mm"  # inside, along the mains
width  = "250 mm"

[tension]
min = "22 kg"  # the range printed on the frame
max = "27 kg"
`, string(s.Text))
	assert.Equal(t, 35, f.Holes[patterns.Left])
	assert.LessOrEqual(t, r.keys, 40)
	t.Logf("%d keys for a usual frame", r.keys)
}

// Typing everything out, suggestions or not, stays within two minutes at a key a second too.
func TestEveryValueTyped(t *testing.T) {
	r := newRig(t).enter("Club sixteen", "tennis", "16x19", "7 9", "7 9", "throat", "35", "8T", "6H 6T", "22-27 kg", "330x250", "Invented.", "")
	s, _ := r.saved()
	assert.Contains(t, string(s.Text), "# Invented.\nname ")
	assert.LessOrEqual(t, r.keys, 90)
	t.Logf("%d keys with every value typed", r.keys)
}

// The same values, with the suggestions and without them and typed in other ways, make the same file.
func TestSuggestionsAreWhatIsTyped(t *testing.T) {
	taken, _ := newRig(t).enter("Club sixteen", "", "", "", "", "", "", "", "", "", "", "", "").saved()
	typed, _ := newRig(t).enter("Club sixteen ", "T", "16 X 19", "7,9", "7t 9", "t", "35", "8t", "6h  6t", "", "", "", "").saved()
	assert.Equal(t, string(taken.Text), string(typed.Text))
}

// Whatever strings a frame has, the usual values make one that closes and that can be strung.
func TestUsualValuesCanBeStrung(t *testing.T) {
	for i, c := range []struct{ sport, strings, start string }{
		{"tennis", "16x19", "t"}, {"tennis", "16x19", "h"}, {"tennis", "16x20", "t"}, {"tennis", "18x20", "t"}, {"tennis", "18x20", "h"},
		{"tennis", "18x17", ""}, {"tennis", "14x16", "h"}, {"tennis", "14x18", "t"}, {"squash", "", ""}, {"racquetball", "", ""},
		{"badminton", "", ""}, {"badminton", "22x21", "h"}, {"badminton", "20x21", "h"},
	} {
		if !sweep.Take(i, 7) {
			continue
		}
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			r := newRig(t).enter("Any", c.sport, c.strings, "", "", c.start)
			for range 20 {
				r.press("enter")
				if r.m.at == fSave {
					break
				}
			}
			_, f := r.press("enter").saved()
			_, err := sequencetest.Make(t, f, sequencetest.Sheet(t, "two-piece-skip"), "[tension]\nmains = \"11 kg\"\n")
			assert.NoError(t, err)
		})
	}
}

// The racket grows and the count closes while one types.
func TestTheRacketGrows(t *testing.T) {
	r := newRig(t)
	assert.Contains(t, r.screen(), "usual 35 holes a side:")
	assert.NotContains(t, r.screen(), "│", "nothing is settled")
	r.enter("Club sixteen", "")
	mains := func() int { return strings.Count(r.screen(), "│") }
	crosses := func() int { return strings.Count(r.screen(), "╶─╴") }
	r.press("1")
	assert.Contains(t, r.screen(), "mains + crosses = holes a side")
	r.press("4")
	fourteen := mains()
	assert.Greater(t, fourteen, 50)
	r.press("backspace", "6", "x", "1", "9")
	assert.Greater(t, mains(), fourteen, "sixteen mains are more than fourteen")
	assert.Contains(t, r.screen(), "16 mains + 19 crosses = 35, closes")
	assert.Contains(t, r.m.SetSize(120, 40).View(), "35 holes a side: 16 mains + 19 crosses = 35, closes")
	r.press("enter")
	assert.Less(t, crosses(), 30, "the crosses wait for the skips")
	assert.Contains(t, r.screen(), "╺━╸", "but those of the skips in question are there")
	r.press("enter", "enter")
	assert.Greater(t, crosses(), 100)
	assert.NotContains(t, newRig(t).enter("x", "", "", "", "").press("x").screen(), "╭─╮ ╭─╮", "no loops where the start is not known")
	r.press("h")
	assert.Contains(t, r.screen(), "╭─╮ ╭─╮")
	assert.NotContains(t, r.press("enter").screen(), "■")
	r.press("enter")
	assert.Contains(t, r.screen(), "□", "the knot in question")
	r.press("enter", "enter")
	assert.Contains(t, r.screen(), "■")
}

// What is wrong stands below the field that it belongs to, in the words of whoever reads a layout, and the form stays
// there until it is right or an arrow leads on.
func TestErrorsInPlace(t *testing.T) {
	for _, c := range []struct {
		name  string
		typed []string
		label string
		want  string
	}{
		{"name", []string{""}, "name", `name is empty; write the frame's name, as "Club sixteen"`},
		{"sport", []string{"x", "chess"}, "sport", `"chess" is no sport of this program`},
		{"one number", []string{"x", "", "16"}, "mains x crosses", "write mains x crosses, as 16x19"},
		{"odd mains", []string{"x", "", "15x19"}, "mains x crosses", "mains is 15, an odd total"},
		{"no such hole", []string{"x", "", "16x19", "7 40"}, "skips at head", "skip: 40H is no hole of this frame, which has 35 holes a side"},
		{"no hole", []string{"x", "", "", "", "9X"}, "skips at head", `skip: "9X" is no hole`},
		{"the other end", []string{"x", "", "", "", "7H"}, "skips at throat", "7H is counted from the other end; write it with the skips at the head"},
		{"skip at the throat", []string{"x", "", "", "", "40"}, "skips at throat", "skip: 40T is no hole"},
		{"start", []string{"x", "", "", "", "", "left"}, "start", `start is "left"; write "head" or "throat"`},
		{"count", []string{"x", "", "", "", "", "", "36"}, "holes a side", "the counts do not close on the left side: 36 holes"},
		{"no number", []string{"x", "", "", "", "", "", "many"}, "holes a side", "write a whole number, as 35"},
		{"tie", []string{"x", "", "", "", "", "", "", "9T"}, "tie mains in", "tie.mains: no main passes 9T, and no cross is tight"},
		{"tie without an end", []string{"x", "", "", "", "", "", "", "8"}, "tie mains in", `tie.mains: "8" is no hole; write the number, H or T`},
		{"its own strand", []string{"x", "", "", "", "", "", "", "", "7H"}, "tie crosses in", "tie.crosses: only C1 passes 7H"},
		{"no unit", []string{"x", "", "", "", "", "", "", "", "", "22-27"}, "tension range", `tension.min: "22" has no unit; write "22 kg"`},
		{"upside down", []string{"x", "", "", "", "", "", "", "", "", "27-22 kg"}, "tension range", "the tension range is upside down"},
		{"half a range", []string{"x", "", "", "", "", "", "", "", "", "27 kg"}, "tension range", "tension.max is missing; write both ends"},
		{"hoop", []string{"x", "", "", "", "", "", "", "", "", "", "330"}, "hoop", `hoop.width is missing; write width = "250 mm"`},
		{"small hoop", []string{"x", "", "", "", "", "", "", "", "", "", "33x25"}, "hoop", `hoop.length is "33 mm"; the inside of a hoop measures 50 to 1000 mm`},
	} {
		if !sweep.Name(c.name, 3) {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			r.m = r.m.SetSize(160, 40)
			last := len(c.typed) - 1
			r.enter(c.typed[:last]...).press(strings.Split(c.typed[last], "")...)
			if c.name == "no hole" {
				r.press("up")
				r.press("backspace", "9", "X", "enter")
			}
			if last > 0 && c.name != "no hole" {
				assert.NotContains(t, r.screen(), c.want, "while it is typed")
			}
			if c.name != "no hole" {
				r.press("enter")
			}
			lines := strings.Split(r.screen(), "\n")
			at := 0
			for at < len(lines)-1 && !strings.Contains(lines[at], "▶ "+c.label) {
				at++
			}
			assert.Contains(t, strings.Join(lines[at:min(at+4, len(lines))], "\n"), c.want)
			r.press("ctrl+s")
			assert.Nil(t, r.msg)
			assert.Contains(t, r.screen(), "not saved")
			assert.Contains(t, r.press("down").screen(), c.want, "it is said wherever the hand is")
		})
	}
}

// A frame with a badminton's strings shares holes; the form asks for them only where there is a reason.
func TestSharedHoles(t *testing.T) {
	r := newRig(t)
	assert.NotContains(t, r.screen(), "shared")
	r.enter("Feather", "b")
	assert.Contains(t, r.screen(), "shared holes")
	_, f := r.enter("", "", "", "", "", "38", "", "", "9-12 kg", "", "", "").saved()
	assert.Len(t, f.Shared, 12)
	assert.Equal(t, 38, f.Holes[patterns.Left])
	r = newRig(t).enter("Few holes", "", "", "", "", "", "34")
	r.m = r.m.SetSize(160, 40)
	assert.Contains(t, r.screen(), "shared holes", "34 holes are one too few for 16 and 19")
	assert.Contains(t, r.screen(), "34 holes a side: 16 mains + 19 crosses = 35, one hole too few")
}

const kept = `# Invented frame.
name    = 'Club sixteen'   # as we say
sport   = "tennis"
mains   = 16
crosses = 19
skip    = ["7T", "7H",     # crosswise
           "9H", "9T"]
start   = "throat"
[tie]
mains   = ["8T"]
crosses = ["6H", "6T"]     # either
[measured]
main_pitch = "11 mm"       # by tape
`

// A layout that is opened and saved is the same file; a change touches what was changed.
func TestEdit(t *testing.T) {
	for _, name := range library.Layouts() {
		data, _ := library.Layout(name)
		r := editRig(t, name, string(data))
		for range 30 {
			r.press("enter")
			if r.m.at == fSave {
				break
			}
		}
		s, _ := r.press("enter").saved()
		assert.Equal(t, file{name, data}, s, "through every field")
	}
	s, f := editRig(t, "six", kept).press("down", "down", "backspace", "backspace", "1", "8", "enter", "ctrl+s").saved()
	assert.Equal(t, strings.Replace(kept, "crosses = 19", "crosses = 18", 1), string(s.Text))
	assert.Equal(t, "six", s.Name)
	assert.Equal(t, 34, f.Holes[patterns.Left])
	s, _ = editRig(t, "six", kept).press("down", "down", "down", "down").press("backspace", "ctrl+s").saved()
	assert.Equal(t, strings.Replace(kept, "\"9H\", \"9T\"]", "\"9H\"]", 1), string(s.Text), "the comment in a list stays")
	r := editRig(t, "six", kept).press("backspace", "ctrl+s")
	s, _ = r.saved()
	assert.Equal(t, strings.Replace(kept, "'Club sixteen'   #", "\"Club sixtee\"    #", 1), string(s.Text))
	assert.Contains(t, r.screen(), "saving six.toml", "its own name stays")
	r = editRig(t, "six", kept).press("down")
	assert.Contains(t, strings.Join(strings.Fields(r.screen()), " "), "typing replaces it,")
	s, _ = r.press("b", "enter", "ctrl+s").saved()
	assert.Equal(t, strings.Replace(kept, "tennis", "badminton", 1), string(s.Text), "typing replaces what stands there")
}

// A tie-off hole at the end where the mains do not end is doubted in its field, with one that is in reach.
func TestTieHoleOutOfReach(t *testing.T) {
	r := editRig(t, "six", strings.Replace(kept, `["8T"]`, `["8H"]`, 1))
	r.m = r.m.SetSize(120, 60)
	assert.Contains(t, r.screen(), "? tie.mains: M8")
	assert.Contains(t, strings.Join(r.m.seen.doubt[fTieMains], " "), "M8L ends in 10TL, 18 hole-steps from the nearest of these")
	r = editRig(t, "six", kept)
	r.m = r.m.SetSize(120, 60)
	assert.NotContains(t, r.screen(), "tie.mains")
}

// What a form does not ask is said where it can be read, and keeps the file from being saved.
func TestEditWhatIsWrong(t *testing.T) {
	r := editRig(t, "six", strings.Replace(kept, "skip ", "skipp", 1))
	assert.Contains(t, r.screen(), "! six.toml:6:1: skipp is not known;")
	r.press("ctrl+s")
	assert.Nil(t, r.msg)
	assert.Contains(t, r.screen(), "not saved: six.toml:6:1: skipp is not known")
	_, err := Edit("six", []byte("name ="), Settings{})
	assert.ErrorContains(t, err, "six.toml:1:")
	r = editRig(t, "six", "name = \"x\"\n")
	assert.Contains(t, r.screen(), "start is missing; write start =")
	s, _ := r.press("down").enter("tennis", "16x19", "7 9", "7 9", "t").press("ctrl+s").saved()
	assert.Contains(t, string(s.Text), "name = \"x\"\nsport = \"tennis\"\nmains = 16\n")
}

// A layout with its holes in lists shows them.
func TestEditLists(t *testing.T) {
	data, _ := library.Layout("feather-twentyone")
	r := editRig(t, "feather", string(data))
	r.m = r.m.SetSize(120, 40)
	assert.Contains(t, r.screen(), "mains at head   1 2 3 4 5 6 7 9 10 11 13")
	assert.Contains(t, r.screen(), "shared holes    10H 11H 13H 9T 10T 12T")
	assert.NotContains(t, r.screen(), "skips")
	assert.NotContains(t, r.screen(), "remark")
}

func TestLeaving(t *testing.T) {
	assert.Equal(t, screen.LeaveMsg{}, newRig(t).press("esc").msg)
	r := newRig(t).press("C", "esc")
	assert.Nil(t, r.msg)
	assert.Contains(t, r.screen(), "esc once more throws away what was typed")
	assert.Nil(t, r.press("l", "esc").msg, "something else was pressed between")
	assert.Equal(t, screen.LeaveMsg{}, r.press("esc").msg)
}

// A kept frame is not the end: what comes next is said, also what is missing for it.
func TestWhatComesNext(t *testing.T) {
	for hoop, missing := range map[string]bool{"330x250": false, "": true} {
		r := newRig(t).enter("Club sixteen", "", "", "", "", "", "", "", "", "22-27 kg", hoop, "", "")
		r.m, _ = r.m.Update(savedMsg{path: "club-sixteen.toml"})
		for _, size := range [][2]int{{60, 20}, {200, 60}} {
			r.m = r.m.SetSize(size[0], size[1])
			for _, want := range []string{"kept as club-sixteen.toml", `frame = "club-sixteen.toml" in a job file`, "pullcard check JOB.toml", "pullcard bench JOB.toml"} {
				assert.Contains(t, r.screen(), want)
			}
			assert.Equal(t, missing, strings.Contains(r.screen(), "the hoop's size is not in it"))
		}
		assert.Equal(t, screen.LeaveMsg{Said: "kept as club-sixteen.toml"}, r.press("enter").msg)
	}
}

func TestSavingOnce(t *testing.T) {
	r := newRig(t).enter("Club sixteen", "", "", "", "", "", "", "", "", "", "", "")
	assert.Nil(t, r.msg, "the last field leads to the row that saves")
	assert.NotNil(t, r.press("enter").msg)
	assert.Nil(t, r.press("enter", "ctrl+s").msg, "it is on its way")
	r.m, _ = r.m.Update(savedMsg{err: errors.New("club-sixteen.toml is there already")})
	assert.Contains(t, r.screen(), "club-sixteen.toml is there already")
	assert.NotNil(t, r.press("enter").msg)
}

// What is only a suggestion is not saved.
func TestSuggestionsWantToBeTaken(t *testing.T) {
	r := newRig(t).enter("Club sixteen", "", "").press("ctrl+s")
	assert.Nil(t, r.msg)
	assert.Contains(t, r.screen(), "▶ skips at head")
	assert.Contains(t, r.screen(), "not saved: 7 9 is only what is usual; enter takes it")
	r.press("enter", "-", "enter")
	assert.Contains(t, r.screen(), "✓ skips at throat -")
	assert.Contains(t, r.press("enter", "enter", "enter", "enter", "ctrl+s").screen(), "saving club-sixteen.toml")
	_, f := r.saved()
	assert.Equal(t, patterns.Hole{Side: patterns.Left, N: 28}, f.Mains[patterns.Left][7].At(patterns.Throat), "8T, as nothing is skipped there")
	r = newRig(t).enter("!?", "", "", "", "", "", "", "", "", "", "", "", "")
	assert.Nil(t, r.msg)
	assert.Contains(t, r.screen(), "a name needs a letter or a digit")
}

func TestMoving(t *testing.T) {
	r := newRig(t).enter("Club sixteen").press("down", "tab", "up", "shift+tab")
	assert.Contains(t, r.screen(), "▶ sport")
	assert.Contains(t, r.press("up", "up").screen(), "▶ name            Club sixteen")
	r.press("down", "down", "right", "backspace", "8", "enter")
	assert.Contains(t, r.screen(), "✓ mains x crosses 16x18", "a suggestion changed")
	r.press("down", "down", "down", "down", "down", "down", "down", "down", "down", "down", "down")
	assert.Contains(t, r.screen(), "▶ save")
}

// Where the picture does not fit beside the form, a key shows it.
func TestPictureByKey(t *testing.T) {
	r := newRig(t)
	assert.NotContains(t, r.screen(), "ctrl+p")
	r.m = r.m.SetSize(60, 20)
	r.enter("Club", "", "16x19", "", "")
	assert.Contains(t, r.screen(), "ctrl+p picture")
	assert.NotContains(t, r.screen(), "╶─╴")
	r.press("ctrl+p")
	assert.Greater(t, strings.Count(r.screen(), "│"), 150)
	assert.NotContains(t, r.screen(), "start")
	assert.Contains(t, r.press("x").screen(), "▶ start           throat", "and any key leads back")
}

func TestNamesAreHarmless(t *testing.T) {
	r := newRig(t)
	r.m, _ = r.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("\x1b]0;x\aevil\u202ename"), Paste: true})
	e := editRig(t, "a\x1bb", "name = \"\\u001b]0;x\\u0007 \\u202e\"\n")
	for _, screen := range []string{r.m.View(), r.press("down").m.View(), e.m.View(), e.press("down").m.View()} {
		assert.NotContains(t, screen, "\x1b]")
		assert.NotContains(t, screen, "\a")
		assert.NotContains(t, screen, "\u202e")
	}
}

var sizes = [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}}

func fits(t require.TestingT, m Model, w, h int) {
	lines := strings.Split(m.SetSize(w, h).View(), "\n")
	require.Len(t, lines, h)
	for _, l := range lines {
		require.Equal(t, w, lipgloss.Width(l), "%q", l)
	}
}

// Every frame fits its terminal exactly, whatever is typed; and what is saved always reads without a problem.
func TestFramesFit(t *testing.T) {
	keys := []string{"enter", "enter", "enter", "down", "up", "right", "backspace", "ctrl+s", "ctrl+p", "b", "t", "h", "7", "9", "1", "x", "-", "H", " ", "é", "世", "10H", "16x19", "22-27 kg", "330x250"}
	dark := golden.Theme(t, "dark", termenv.TrueColor)
	rapid.Check(t, sweep.Some(4, func(rt *rapid.T) {
		r := newRig(t)
		if rapid.Bool().Draw(rt, "edit") {
			r = editRig(t, "six", kept)
		}
		if rapid.Bool().Draw(rt, "coloured") {
			r.m = r.m.SetTheme(dark)
		}
		r.m.ASCII = rapid.Bool().Draw(rt, "ascii")
		for range rapid.IntRange(0, 30).Draw(rt, "keys") {
			r.press(rapid.SampledFrom(keys).Draw(rt, "key"))
			if _, ok := r.msg.(savedMsg); ok {
				_, _, err := patterns.ReadLayout(r.kept.Name, r.kept.Text)
				require.NoError(rt, err)
			}
		}
		s := rapid.SampledFrom(append(sizes, [2]int{61, 21}, [2]int{79, 23}, [2]int{59, 20}, [2]int{10, 3}, [2]int{1, 1})).Draw(rt, "size")
		fits(rt, r.m, s[0], s[1])
	}))
	assert.Contains(t, newRig(t).m.SetSize(50, 19).View(), "at least 60×20")
}

func TestFrameGoldens(t *testing.T) {
	feather, _ := library.Layout("feather-twentyone")
	for _, state := range []struct {
		name string
		rig  func() *rig
	}{
		{"empty", func() *rig { return newRig(t) }},
		{"mains", func() *rig { return newRig(t).enter("Club sixteen", "").press("1", "6") }},
		{"skips", func() *rig { return newRig(t).enter("Club sixteen", "", "16x19") }},
		{"wrong", func() *rig { return newRig(t).enter("Club sixteen", "", "", "", "", "", "36") }},
		{"ties", func() *rig { return newRig(t).enter("Club sixteen", "", "", "", "", "", "") }},
		{"ready", func() *rig {
			return newRig(t).enter("Club sixteen", "", "", "", "", "", "", "", "", "22-27 kg", "330x250", "Invented.")
		}},
		{"edit", func() *rig { return editRig(t, "feather-twentyone", string(feather)).press("down", "down", "down") }},
	} {
		r := state.rig()
		for _, s := range sizes {
			r.m = r.m.SetSize(s[0], s[1])
			golden.Check(t, *update, fmt.Sprintf("frame_%s_%dx%d", state.name, s[0], s[1]), r.screen())
		}
	}
	r := newRig(t).enter("Club sixteen", "", "", "", "", "", "")
	r.m.ASCII = true
	r.m = r.m.SetTheme(r.m.Theme)
	golden.Check(t, *update, "frame_ascii_80x24", r.screen())
	golden.ASCII(t, r.screen())
}

func TestFileName(t *testing.T) {
	for name, want := range map[string]string{
		"Club sixteen": "club-sixteen", "  A/B..\\c 1½ ": "a-b-c-1", "Schläger Nr. 2": "schläger-nr-2", "../..": "", "東京": "東京",
	} {
		assert.Equal(t, want, FileName(name))
	}
}

func TestPair(t *testing.T) {
	for _, c := range []struct{ in, unit, first, second, shown string }{
		{"22-27 kg", "", "22 kg", "27 kg", "22-27 kg"}, {"22kg-27KG", "", "22 kg", "27 kg", "22-27 kg"}, {"50 to 60 lbs", "", "50 lb", "60 lb", "50-60 lb"},
		{"22,5 – 27 kg", "", "22.5 kg", "27 kg", "22.5-27 kg"}, {"22 kg - 60 lb", "", "22 kg", "60 lb", "22 kg - 60 lb"}, {"22-27", "", "22", "27", "22-27"},
		{"22 kg", "", "22 kg", "", "22 kg"}, {"", "", "", "", ""}, {"much", "", "much", "", "much"}, {"-5 kg", "", "-5 kg", "", "-5 kg"},
		{"330x250", "mm", "330 mm", "250 mm", "330x250 mm"}, {"33x25 cm", "mm", "33 cm", "25 cm", "33x25 cm"}, {"13in X 10in", "mm", "13 in", "10 in", "13x10 in"},
		{"330", "mm", "330 mm", "", "330 mm"}, {"", "mm", "", "", ""},
	} {
		signs, sign, wide := []string{"-", "–", "/", " to "}, "-", " - "
		if c.unit != "" {
			signs, sign, wide = []string{"x", "×"}, "x", " x "
		}
		first, second := pair(c.in, c.unit, signs...)
		assert.Equal(t, [2]string{c.first, c.second}, [2]string{first, second}, c.in)
		assert.Equal(t, c.shown, joinPair(first, second, sign, wide), c.in)
	}
}

// A key until what follows from it is worked out, and a painting.
func BenchmarkKey(b *testing.B) {
	r := newRig(b).enter("Club sixteen", "", "16x19", "", "", "", "")
	b.Run("update", func(b *testing.B) {
		for b.Loop() {
			r.press("8", "backspace")
		}
	})
	b.Run("view", func(b *testing.B) {
		for b.Loop() {
			_ = r.m.View()
		}
	})
}
