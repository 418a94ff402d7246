package bench

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

// shelf is a recorder in memory that can refuse.
type shelf struct {
	events []progress.Event
	refuse error
}

func (s *shelf) Record(_ context.Context, e progress.Event) error {
	if s.refuse != nil {
		return s.refuse
	}
	s.events = append(s.events, e)
	return nil
}

// rig is a bench with a clock that moves a second with every key.
type rig struct {
	t     testing.TB
	m     Model
	shelf *shelf
	clock time.Time
}

func planOf(t testing.TB, frame, sheet string) *plan.Plan {
	if sheet == "flying" {
		sheet = sequencetest.Flying
	}
	return sequencetest.Of(t, frame, sheet).Plan
}

func newRig(t testing.TB, frame, sheet string, events ...progress.Event) *rig {
	r := &rig{t: t, shelf: &shelf{}, clock: time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)}
	m, err := New(Job{Player: "Ada Example", Racket: "blue", Plan: planOf(t, frame, sheet), Events: events, Recorder: r.shelf},
		Settings{Hold: 700 * time.Millisecond, Now: func() time.Time { return r.clock }, Theme: golden.Plain(t)})
	require.NoError(t, err)
	r.m = m.SetSize(80, 24)
	return r
}

// send gives the bench a message and carries out what comes of it, but not the minute's tick.
func (r *rig) send(msg tea.Msg) {
	var cmd tea.Cmd
	r.m, cmd = r.m.Update(msg)
	r.carryOut(cmd)
}

func (r *rig) carryOut(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case tea.BatchMsg:
		for _, c := range msg {
			r.carryOut(c)
		}
	case recordedMsg, alarmMsg, mendedMsg, askedMsg, slowMsg:
		r.send(msg)
	}
}

// press types keys, a second apart.
func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		r.clock = r.clock.Add(time.Second)
		r.send(golden.Key(k))
	}
	return r
}

func (r *rig) times(n int, key string) *rig {
	for range n {
		r.press(key)
	}
	return r
}

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

func (r *rig) kinds() string {
	var out []string
	for _, e := range r.shelf.events {
		out = append(out, fmt.Sprintf("%s %d", e.Kind, e.Step))
	}
	return strings.Join(out, ", ")
}

// A whole racket by space alone; at the end space does nothing more.
func TestWholeRacketBySpace(t *testing.T) {
	for i, sheet := range append(library.Techniques(), "flying") {
		if strings.HasPrefix(sheet, "one") || !sweep.Take(i, 3) {
			continue
		}
		r := newRig(t, "club-sixteen", sheet)
		n := len(r.m.job.Plan.Steps)
		for i := range n {
			assert.Contains(t, r.screen(), fmt.Sprintf("%d/%d", i+1, n))
			r.press("space")
		}
		assert.Contains(t, r.screen(), "This racket is strung.")
		assert.Len(t, r.shelf.events, n)
		r.times(3, "space")
		assert.Len(t, r.shelf.events, n)
	}
}

// What a script looks for stands on the screen, in order: step and total, strand, holes, tension, clamps, over and under,
// what comes next, what is deferred.
func TestScreenSaysEverything(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	for r.m.step().Pull() == nil || r.m.step().Pull().Strand != "C3" {
		r.press("space")
	}
	at := 0
	for _, want := range []string{fmt.Sprintf("%d/%d", r.m.shown(), len(r.m.job.Plan.Steps)), "C3", "11HL", "11HR", "23 kg",
		"CLAMP ON B on C3 at 11HR", "CLAMP OFF A from C2 at 9HL", "over first, 16 mains", "stays S C2 at 9HR", "next WEAVE C5", "deferred: C1 at 7HL"} {
		i := strings.Index(r.screen()[at:], want)
		require.GreaterOrEqual(t, i, 0, "%q after\n%s", want, r.screen()[at:])
		at += i
	}
}

// Control characters in names never reach the terminal.
func TestNamesAreHarmless(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip")
	r.m.job.Player = "\x1b]0;x\a\u202eevil"
	assert.NotContains(t, r.m.View(), "\x1b]")
	assert.NotContains(t, r.m.View(), "\a")
	assert.NotContains(t, r.m.View(), "\u202e")
}

var sizes = [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}}

// Every frame of a whole racket fits its terminal exactly, in every view, asking and finished too.
func TestFramesFit(t *testing.T) {
	fits := func(m Model, w, h int) {
		lines := strings.Split(m.View(), "\n")
		require.Len(t, lines, h)
		for _, l := range lines {
			require.Equal(t, w, lipgloss.Width(l), "%q", l)
		}
	}
	r := newRig(t, "dense-eighteen", "two-piece-clamp")
	r.m.job.Player = strings.Repeat("very long name ", 30)
	for n := range len(r.m.job.Plan.Steps) + 1 {
		for i, s := range sizes {
			if !sweep.Take(n+i, 9) {
				continue
			}
			fits(r.m.SetSize(s[0], s[1]), s[0], s[1])
			far := r.m
			far.far = true
			fits(far.SetSize(s[0], s[1]), s[0], s[1])
		}
		r.press("v", "space")
	}
	for i, keys := range [][]string{{"s"}, {"s", "1"}, {"s", "2"}, {"s", "2", "3"}, {"w"}, {"w", "3"}, {"w", "3", "1", "enter"}, {"n", "abc"}, {"?"}} {
		a := newRig(t, "club-sixteen", "two-piece-skip").times(9, "space").press(keys...)
		for j, s := range append(sizes, [2]int{59, 20}, [2]int{10, 3}, [2]int{1, 1}) {
			if !sweep.Take(i+j, 3) {
				continue
			}
			fits(a.m.SetSize(s[0], s[1]), s[0], s[1])
		}
	}
	assert.Contains(t, newRig(t, "club-sixteen", "two-piece-skip").m.SetSize(50, 19).View(), "at least 60×20")
}

func TestFrameGoldens(t *testing.T) {
	states := []struct {
		name string
		keys []string
		done int
	}{
		{"mount", nil, 0}, {"main", nil, 8}, {"boost", nil, 18}, {"tie", nil, 20}, {"weave", nil, 26}, {"cross", nil, 31},
		{"slip", []string{"s"}, 8}, {"clamp", []string{"s", "2"}, 8}, {"again", []string{"s", "1", "1"}, 8}, {"look", []string{"right"}, 8}, {"turned", []string{"v"}, 31},
		{"far", []string{"f"}, 18}, {"far-weave", []string{"f"}, 26}, {"deferred", nil, 60}, {"finished", nil, 64}, {"keys", []string{"?"}, 8},
	}
	for i, s := range sizes {
		if !sweep.Take(i+3, len(sizes)) {
			continue
		}
		for _, state := range states {
			r := newRig(t, "club-sixteen", "two-piece-skip").times(state.done, "space").press(state.keys...)
			r.m = r.m.SetSize(s[0], s[1])
			golden.Check(t, *update, fmt.Sprintf("%s_%dx%d", state.name, s[0], s[1]), r.screen())
		}
	}
	ascii := newRig(t, "club-sixteen", "two-piece-skip").times(31, "space")
	ascii.m.set.ASCII = true
	ascii.m = ascii.m.SetTheme(ascii.m.set.Theme)
	golden.Check(t, *update, "ascii_80x24", ascii.screen())
}

// View of a step at two sizes, with colours.
func BenchmarkView(b *testing.B) {
	for _, s := range [][2]int{{80, 24}, {200, 60}} {
		b.Run(fmt.Sprintf("%dx%d", s[0], s[1]), func(b *testing.B) {
			r := newRig(b, "dense-eighteen", "two-piece-skip").times(40, "space")
			r.m = r.m.SetTheme(golden.Theme(b, "dark", termenv.TrueColor)).SetSize(s[0], s[1])
			for b.Loop() {
				_ = r.m.View()
			}
		})
	}
}

// Mains that stand without crosses are told of after 20 minutes, also when the job is taken up again.
func TestMainsWithoutCrosses(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(23, "space")
	assert.NotContains(t, r.screen(), "without crosses")
	r.clock = r.clock.Add(24 * time.Minute)
	r.m, _ = r.m.Update(tickMsg(r.clock))
	assert.Contains(t, r.screen(), "! mains without crosses for 24 min")
	r.times(3, "space")
	assert.NotContains(t, r.screen(), "without crosses", "a cross is pulled")
}

// A clock that is set back or forward at any step shows no time below nought, and hides none of what went by between the steps: what
// counts is how far it went forward from one to the next.
func TestClockSteps(t *testing.T) {
	rapid.Check(t, sweep.Some(8, func(draw *rapid.T) {
		r := newRig(t, "club-sixteen", "two-piece-skip")
		var all, mains time.Duration
		for n := range 40 {
			d := time.Second // of work, which press gives
			if rapid.IntRange(0, 4).Draw(draw, "steps") == 0 {
				step := time.Duration(rapid.IntRange(-300, 300).Draw(draw, "minutes")) * time.Minute
				r.clock = r.clock.Add(step)
				d += step
			}
			if n > 0 {
				all += max(d, 0)
			}
			if !r.m.firstMain.IsZero() {
				mains += max(d, 0)
			}
			r.press("space")
			require.Equal(draw, n+1, r.m.state.Last())
			want := "mains " + minutes(mains)
			if r.m.firstMain.IsZero() {
				want = minutes(all)
			}
			require.Equal(draw, want, r.m.clock())
			require.NotRegexp(draw, `[-−]\d+ (min|h)`, r.screen())
			require.GreaterOrEqual(draw, r.m.bareFor(), time.Duration(0))
		}
	}))
}

// Taking back a way back that cut the mains out brings back the time since the first of them, for they were never out.
func TestTakenBackTheTimeStands(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(7, "space")
	since := r.m.firstMain
	require.False(t, since.IsZero())
	r.press("w")
	for i, a := range r.m.asked[0].Answers {
		if strings.HasPrefix(a.Say, "the frame is cracked") {
			r.times(i, "down")
			break
		}
	}
	r.press("enter", "enter").steps(6)
	require.True(t, r.m.firstMain.IsZero(), "all is cut out")
	for n := r.m.state.Last(); n > 7; n-- {
		if r.press("backspace"); r.m.mode == choosing {
			r.press("1") // nothing of it is out yet
		}
	}
	assert.Contains(t, r.screen(), "8/64")
	assert.Equal(t, since, r.m.firstMain)
}

// The list of slips and that of all else lead to each other, and a knot is in both.
func TestTheOtherList(t *testing.T) {
	r := newRig(t, "club-sixteen", "two-piece-skip").times(28, "space").press("s")
	assert.Contains(t, r.screen(), "What slipped?")
	assert.Contains(t, r.screen(), "a knot slipped")
	assert.Contains(t, r.press("w").screen(), "What went wrong?")
	assert.Contains(t, r.press("s").screen(), "What slipped?")
}

// What is to be known before the work stands on the first cards in whole sentences, and of what there is no room for it says how many more there are.
func TestCautionsAreWhole(t *testing.T) {
	var all []string
	for i := range 9 {
		all = append(all, fmt.Sprintf("caution %d of an invented job says in a sentence of some length what is otherwise than the last time, and ends with end%d", i, i))
	}
	for n := range len(all) + 1 {
		for _, size := range [][2]int{{58, 18}, {40, 22}, {70, 38}} { // beside the picture, or without it
			r := newRig(t, "club-sixteen", "two-piece-skip")
			r.m.job.Warnings = all[:n]
			for r.m.step().Phase == plan.PhaseMount {
				words := strings.Fields(ansi.Strip(screen.Fit(r.m.card(size[0], size[1]), size[0]+2, size[1], false)))
				text, whole := strings.Join(words, " "), 0
				for i, caution := range all[:n] {
					if strings.Contains(text, fmt.Sprintf("caution %d", i)) {
						require.Contains(t, text, caution, "at %v, step %d", size, r.m.step().N)
						whole++
					}
				}
				if whole < n {
					require.Contains(t, text, fmt.Sprintf("! %d more on a larger screen", n-whole), "at %v, step %d\n%s", size, r.m.step().N, text)
				}
				r.press("space")
			}
		}
	}
}
