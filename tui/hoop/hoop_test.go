package hoop

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/assume"
	"pullcard/sequence/calc"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sheet is that of an invented job on a built-in frame.
func sheet(t testing.TB) Sheet {
	w := calc.Work(sequencetest.Of(t, "club-sixteen", "two-piece-skip", "[tension]\nmains = \"24 kg\"\n[strain]\nlimit = \"1500 N\"\n"))
	out := Sheet{Title: "Ada Example · blue", Unit: w.Job.Mains.Unit()}
	var err error
	out.Course, err = w.Strain(assume.Table{})
	require.NoError(t, err)
	out.Expected, err = w.Expect(assume.Table{})
	require.NoError(t, err)
	for _, l := range w.TakenForGranted(assume.Table{}) {
		out.Assumed = append(out.Assumed, l.Key+" "+l.Value)
	}
	return out
}

func TestFrames(t *testing.T) {
	s := sheet(t)
	m := New(s, golden.Plain(t), false)
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
		m = m.SetSize(size[0], size[1])
		got := m.View()
		golden.Exact(t, got, size[0], size[1])
		golden.Check(t, *update, fmt.Sprintf("hoop_%dx%d", size[0], size[1]), got)
	}
	for _, size := range golden.Odd() {
		golden.Exact(t, New(s, golden.Theme(t, "dark", termenv.TrueColor), true).SetSize(size[0], size[1]).View(), size[0], size[1])
	}
	m = New(s, golden.Plain(t), true).SetSize(120, 40)
	for _, l := range m.draw().Lines(m.Look) {
		golden.ASCII(t, l)
	}
	assert.Empty(t, New(s, golden.Plain(t), false).View(), "before the size is known")
	golden.Exact(t, New(Sheet{Trouble: "no hoop\x1b[31m"}, golden.Plain(t), false).SetSize(60, 20).View(), 60, 20)
}

func press(m Model, keys ...string) (Model, tea.Cmd) {
	var cmd tea.Cmd
	for _, k := range keys {
		m, cmd = m.Update(golden.Key(k))
	}
	return m, cmd
}

// Step by step the strands come; a step before the first pull has none, and no step lies beyond either end.
func TestSteps(t *testing.T) {
	s := sheet(t)
	m := New(s, golden.Plain(t), false).SetSize(120, 40)
	n := len(s.Course.At)
	assert.Contains(t, m.View(), fmt.Sprintf("step %d of %d", n, n))
	m, _ = press(m, "right")
	assert.Equal(t, n, m.step)
	for range n + 3 {
		m, _ = press(m, "left")
	}
	assert.Equal(t, 1, m.step)
	drawn := m.View()[:strings.LastIndex(m.View(), "\n")]
	assert.Zero(t, strings.Count(strings.Join(strings.Split(drawn, "\n")[1:36], "\n"), "┃"))
	for range 8 {
		m, _ = press(m, "right")
	}
	assert.NotZero(t, strings.Count(m.View(), "┃"))
	_, cmd := press(m, "q")
	assert.Equal(t, screen.LeaveMsg{}, cmd())
}

// What was measured is judged at once and kept as it was typed; what is no measuring is told, and nothing is kept.
func TestMeasured(t *testing.T) {
	s := sheet(t)
	var kept []string
	s.Keep = func(text string) error { kept = append(kept, text); return nil }
	m := New(s, golden.Plain(t), false).SetSize(120, 40)
	m, _ = press(m, "m")
	assert.True(t, m.Typing())
	m, cmd := press(m, "330 x 250", "enter", "enter")
	assert.True(t, m.Typing())
	assert.Contains(t, m.View(), "is no measuring")
	assert.Nil(t, cmd)
	m, _ = press(m, "329.5 x 250", "tab", "tab") // back to where it was
	m, cmd = press(m, ".2", "enter")
	require.NotNil(t, cmd)
	assert.Contains(t, m.View(), "within what is to be")
	m, _ = m.Update(cmd())
	assert.Equal(t, []string{"330 x 250, 329.5 x 250.2"}, kept)
	assert.Contains(t, m.View(), "kept in the book")
	m, _ = press(m, "m", "330 x 250", "enter", "320 x 260", "enter")
	assert.Contains(t, m.View(), "OUTSIDE")
	m, _ = press(m, "m", "33", "esc")
	assert.False(t, m.Typing())
}

// Techniques stand side by side on the page.
func TestBeside(t *testing.T) {
	s := sheet(t)
	m := New(s, golden.Plain(t), false).SetSize(120, 40)
	assert.NotContains(t, m.View(), "techniques")
	s.Beside = func(context.Context, func(int, int)) ([]string, error) {
		return []string{"the most even bed: another sheet, uneven by 7.1 %"}, nil
	}
	m = New(s, golden.Plain(t), false).SetSize(120, 40)
	assert.Contains(t, m.View(), "t techniques")
	m, cmd := press(m, "t")
	m, _ = m.Update(cmd().(tea.BatchMsg)[1]())
	assert.Contains(t, m.View(), "the most even bed: another sheet")
}

// A search says how far it is, esc stops it, and its answer stands on the page.
func TestSearch(t *testing.T) {
	s := sheet(t)
	s.Gentlest = func(ctx context.Context, tell func(int, int)) ([]string, error) {
		tell(3, 40)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return []string{"no gain worth it: the sheet stays as it is"}, nil
	}
	m := New(s, golden.Plain(t), false).SetSize(120, 40)
	m, cmd := press(m, "g")
	batch := cmd().(tea.BatchMsg)
	assert.Contains(t, m.View(), "searching")
	found := batch[1]()
	m, _ = m.Update(tickMsg{m.search})
	assert.Contains(t, m.View(), "3 of about 40")
	m, _ = m.Update(found)
	assert.Contains(t, m.View(), "no gain worth it")
	m, cmd = press(m, "g", "esc")
	assert.Nil(t, cmd)
	m, cmd = press(m, "q")
	require.NotNil(t, cmd)
	m, _ = m.Update(foundMsg{nil, errors.New("far behind"), &search{}})
	assert.NotContains(t, m.View(), "far behind")
}

func BenchmarkStep(b *testing.B) {
	m := New(sheet(b), golden.Plain(b), false).SetSize(120, 40)
	for b.Loop() {
		m, _ = press(m, "left", "right")
		m.View()
	}
}
