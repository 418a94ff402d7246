package ear

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/tap"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

func heard(taps int) tap.Result {
	r := tap.Result{Clear: true, Hz: 612.41, PlusMinusHz: .3, Taps: taps, Candidates: []tap.Candidate{{Hz: 612.41, PlusMinusHz: .3, LevelDB: -12, DecayMS: 60, Chance: .97}}}
	for range taps {
		r.Heard = append(r.Heard, tap.Tap{Clear: true, Used: true})
	}
	return r
}

// run plays a listening: what the ear tells, until it is told to stop.
func run(t *testing.T, e Ear) Model {
	m := New("invented racket", e, golden.Plain(t), true).SetSize(80, 24)
	return follow(m, m.Init())
}

func follow(m Model, cmd tea.Cmd) Model {
	if cmd == nil {
		return m
	}
	switch msg := cmd().(type) {
	case tea.BatchMsg:
		for _, c := range msg {
			m = follow(m, c)
		}
	case nil, screen.LeaveMsg:
	default:
		var next tea.Cmd
		m, next = m.Update(msg)
		m = follow(m, next)
	}
	return m
}

func press(m Model, k string) (Model, tea.Cmd) {
	return m.Update(golden.Key(k))
}

// Three taps that agree are a reading, taken without a key; enter keeps it, once.
func TestReadingIsTakenByItself(t *testing.T) {
	told, kept := 0, []string{}
	m := run(t, Ear{
		Listen: func(tell func(tap.Live) bool) (tap.Result, error) {
			for n := range 9 {
				told = n
				if !tell(tap.Live{LevelDB: -20, Result: heard(n)}) {
					return heard(n), nil
				}
			}
			return tap.Result{}, errors.New("it was not stopped")
		},
		Keep: func(value, plusMinus string) error { kept = append(kept, value, plusMinus); return nil },
	})
	assert.Equal(t, Enough, told)
	assert.Contains(t, m.View(), "612.4 Hz ± 0.3 Hz (about a 95 % interval), from 3 taps")
	m, cmd := press(m, "enter")
	m = follow(m, cmd)
	assert.Equal(t, []string{"612.41 Hz", "0.30 Hz"}, kept)
	assert.Contains(t, m.View(), "kept as a reading")
	_, cmd = press(m, "enter")
	assert.Nil(t, cmd)
}

func TestLevelAndTrouble(t *testing.T) {
	m := New("x", Ear{}, golden.Plain(t), true).SetSize(60, 20)
	m, _ = m.Update(liveMsg{tap.Live{LevelDB: -30, Result: tap.Result{Why: "no tap was heard"}}, m.link})
	assert.Contains(t, m.View(), strings.Repeat("#", 20)+strings.Repeat(".", 20)+" -30 dB")
	m = run(t, Ear{Listen: func(func(tap.Live) bool) (tap.Result, error) { return tap.Result{}, errors.New("no microphone") }})
	assert.Contains(t, m.View(), "no microphone")
	assert.Contains(t, m.View(), "again")
	m = run(t, Ear{Listen: func(func(tap.Live) bool) (tap.Result, error) {
		return tap.Result{Why: "2 tones could be the bed's"}, nil
	}})
	assert.Contains(t, m.View(), "no clear tone: 2 tones could be the bed's")
	_, cmd := press(m, "enter")
	assert.Nil(t, cmd, "nothing to keep")
}

// Leaving ends the listening, and what still comes changes nothing.
func TestLeaveEndsListening(t *testing.T) {
	m := New("x", Ear{}, golden.Plain(t), true).SetSize(80, 24)
	left, cmd := press(m, "q")
	assert.Equal(t, screen.LeaveMsg{}, cmd())
	select {
	case <-left.link.stop:
	default:
		t.Fatal("it listens on")
	}
	again := left.again()
	again, _ = again.Update(heardMsg{heard(3), nil, m.link})
	assert.False(t, again.done)
}

// Every frame fits its terminal exactly.
func TestFramesFit(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}, {20, 4}, {1, 1}} {
		for _, r := range []tap.Result{{}, heard(2), {Why: strings.Repeat("long words ", 60), Clipped: true}} {
			m := New("invented", Ear{}, golden.Plain(t), false).SetSize(size[0], size[1])
			m.live.Result = r
			for _, done := range []bool{false, true} {
				m.done = done
				lines := strings.Split(m.View(), "\n")
				require.Len(t, lines, size[1], fmt.Sprint(size))
				for _, l := range lines {
					assert.Equal(t, size[0], lipgloss.Width(l))
				}
			}
		}
	}
}
