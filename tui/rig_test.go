package tui

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"

	"pullcard/tui/bench"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// rig is the whole program without a terminal, and somebody who types. It lives in a bubble of testing/synctest, whose
// clock stands still but while somebody sleeps.
type rig struct {
	t    testing.TB
	shop *house
	m    tea.Model
	msgs chan tea.Msg
	quit bool
}

// newRig is the program of a shop, on its rack at 80×24.
func newRig(t testing.TB, s *house, change ...func(*bench.Settings)) *rig {
	set := bench.Settings{Hold: hold, Now: time.Now, Theme: golden.Plain(t)}
	for _, f := range change {
		f(&set)
	}
	return rigOn(t, s, Rack(s, set), set)
}

// rigOn is the program on another screen.
func rigOn(t testing.TB, s *house, first screen.Screen, set bench.Settings) *rig {
	m := New(first, Options{Theme: set.Theme, ASCII: set.ASCII, Now: set.Now, Hold: set.Hold})
	r := &rig{t: t, shop: s, m: m, msgs: make(chan tea.Msg, 100)}
	r.run(m.Init())
	return r.size(80, 24)
}

// run carries out a command and what comes of it. A command that waits for the clock is left waiting; its message comes
// when the time has passed, see sleep.
func (r *rig) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	go func() { r.msgs <- cmd() }()
	r.settle()
}

func (r *rig) settle() {
	synctest.Wait()
	for len(r.msgs) > 0 {
		switch msg := (<-r.msgs).(type) {
		case tea.BatchMsg:
			for _, cmd := range msg {
				r.run(cmd)
			}
		case tea.QuitMsg:
			r.quit = true
		default:
			r.send(msg)
		}
	}
}

func (r *rig) send(msg tea.Msg) *rig {
	var cmd tea.Cmd
	r.m, cmd = r.m.Update(msg)
	r.run(cmd)
	return r
}

// sleep lets time pass, and the program have what comes meanwhile, at most a minute late.
func (r *rig) sleep(d time.Duration) *rig {
	for ; d > 0; d -= time.Minute {
		time.Sleep(min(d, time.Minute))
		r.settle()
	}
	return r
}

func (r *rig) size(w, h int) *rig { return r.send(tea.WindowSizeMsg{Width: w, Height: h}) }

// press types keys by their names, slowly enough that none counts as held.
func (r *rig) press(keys ...string) *rig {
	for _, k := range keys {
		r.sleep(stroke).send(golden.Key(k))
	}
	return r
}

// stroke is the time between two keys, and hold is that within which the same key counts as held.
const (
	hold   = 10 * time.Millisecond
	stroke = 20 * time.Millisecond
)

// write types a text.
func (r *rig) write(text string) *rig { return r.press(strings.Split(text, "")...) }

func (r *rig) screen() string { return ansi.Strip(r.m.View()) }

// shows holds that all of the texts are on the screen.
func (r *rig) shows(texts ...string) *rig {
	r.t.Helper()
	golden.Shows(r.t, r.screen(), texts...)
	return r
}

// hides holds that none of the texts is on the screen.
func (r *rig) hides(texts ...string) *rig {
	r.t.Helper()
	golden.Hides(r.t, r.screen(), texts...)
	return r
}

// exact holds that a frame has so many lines of so many cells.
func exact(t assert.TestingT, frame string, width, height int) {
	lines := strings.Split(frame, "\n")
	assert.Len(t, lines, height)
	for _, l := range lines {
		if lipgloss.Width(l) != width {
			assert.Fail(t, "a line does not fit", "%d cells are wanted, not those of %q", width, l)
			return
		}
	}
}

// inBubble runs a test in a bubble, and afterwards lets the time pass that the last minutes' ticks wait for.
func inBubble(t *testing.T, test func(t *testing.T)) {
	synctest.Test(t, func(t *testing.T) {
		t.Cleanup(func() { time.Sleep(2 * time.Minute) })
		test(t)
	})
}
