package bed

import (
	"flag"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/calc"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

const jobText = `player = "Ada Example"
[tension]
mains = "24 kg"
crosses = "23 kg"
[string.mains]
diameter = "1.25 mm"
material = "polyester"
length = "12 m"
[machine]
name = "bench 2"
gauge = { set = "24 kg", read = "23.4 kg" }
`

// sheet is that of an invented job on a built-in frame.
func sheet(t testing.TB) Sheet {
	w := calc.Work(sequencetest.Of(t, "club-sixteen", "two-piece-skip", jobText))
	b, err := w.Bed(calc.Options{LossPercent: 30, Map: true})
	require.NoError(t, err)
	l, err := w.Lengths()
	require.NoError(t, err)
	return Sheet{Title: "Ada Example · blue", Lengths: l, Bed: b, Settings: w.Settings(), Cautions: w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)}
}

func TestFrames(t *testing.T) {
	m := New(sheet(t), golden.Plain(t), false)
	for _, size := range golden.Sizes() {
		m = m.SetSize(size[0], size[1])
		got := m.View()
		golden.Exact(t, got, size[0], size[1])
		golden.Check(t, *update, fmt.Sprintf("numbers_%dx%d", size[0], size[1]), got)
	}
	for _, size := range golden.Odd() {
		golden.Exact(t, New(sheet(t), golden.Theme(t, "dark", termenv.TrueColor), true).SetSize(size[0], size[1]).View(), size[0], size[1])
	}
	assert.Empty(t, New(sheet(t), golden.Plain(t), false).View(), "before the size is known")
}

// drawn is the map on a screen of a size, nil where there is no room for one.
func drawn(m Model, width, height int) []string {
	m = m.SetSize(width, height)
	if c := m.chart(); c != nil {
		return c.Lines(m.Look)
	}
	return nil
}

func TestASCII(t *testing.T) {
	for _, l := range drawn(New(sheet(t), golden.Plain(t), true), 80, 24) {
		assert.NotContains(t, "·░▒▓█", l)
		golden.ASCII(t, l)
	}
}

// The map is soft in the middle and stiff at the hoop, alike left and right, and the legend tells both ends.
func TestChart(t *testing.T) {
	s := sheet(t)
	m := New(s, golden.Plain(t), true)
	lines := drawn(m, 122, 34)
	height := len(lines) - 2
	mid := []rune(lines[height/2])
	assert.Equal(t, '.', mid[len(mid)/2])
	stiffest := 0
	for _, l := range lines[:height] {
		stiffest += strings.Count(l, "#")
		r := []rune(l)
		assert.Equal(t, r[0] == ' ', r[len(r)-1] == ' ')
	}
	assert.NotZero(t, stiffest)
	from := steps(s.Bed.Map, 5)
	assert.InDelta(t, float64(s.Bed.Figures.Stiffness), from[0], 0.3)
	assert.Contains(t, lines[height], fmt.Sprintf("from . %.3g :", from[0]))
	for width := 48; width <= 122; width++ { // all of the legend at every width that has a map
		rows := drawn(m, width, 34)
		legend := strings.Join(strings.Fields(strings.Join(rows[len(rows)-2:], " ")), " ")
		assert.Equal(t, fmt.Sprintf("from . %.3g : %.3g + %.3g * %.3g # %.3g N/mm", from[0], from[1], from[2], from[3], from[4]), legend, "%d", width)
	}
	count := 0
	for _, v := range s.Bed.Map {
		if float64(v) >= from[4] {
			count++
		}
	}
	assert.InDelta(t, len(s.Bed.Map)/5, count, 3, "a fifth of the crossings; four mirror images go together")
	assert.Nil(t, drawn(m, 18, 34), "too narrow")
	assert.Nil(t, drawn(m, 122, 8), "too low")
	for v, want := range map[float64]int{0.5: 0, 1: 0, 1.9: 0, 2: 1, 4: 2, 99: 2} {
		assert.Equal(t, want, shade(v, []float64{1, 2, 4}))
	}
}

// Every number can be reached by scrolling, no further, and keys that cannot act are not shown.
func TestScroll(t *testing.T) {
	m := New(sheet(t), golden.Plain(t), false).SetSize(60, 20)
	seen := m.View()
	for range 200 {
		m, _ = m.Update(tea.KeyMsg{Type: tea.KeyDown})
		seen += m.View()
	}
	for _, want := range []string{"CUT", "TENSION", "BED, as ordered", "CHOICES", "LOADS", "ASSUMED", "with the loss", "left on the set",
		"mains: set 24 kg", "as ordered; gauge 23.4 kg", "mains, before a knot: set", " 26.4 kg", "24 kg ordered, 10 % more for"} {
		assert.Contains(t, seen, want)
	}
	assert.NotContains(t, seen, "ordered 26.4 kg", "which nobody did")
	assert.NotRegexp(t, `[+-]\d+\.\d+ +[+-]?\d+\.\d+ %`, seen, "what differs is said in words")
	assert.Less(t, strings.Index(seen, "TENSION"), strings.Index(seen, "mm apart"), "first what the stringer came for")
	assert.NotContains(t, m.View(), "more below")
	bottom := m.View()
	m, _ = m.Update(tea.KeyMsg{Type: tea.KeyDown})
	assert.Equal(t, bottom, m.View())
	m, _ = m.Update(tea.KeyMsg{Type: tea.KeyUp})
	assert.NotEqual(t, bottom, m.View())
	high := m.SetSize(200, 80)
	assert.True(t, high.numbers.AtTop())
	assert.NotContains(t, high.View(), "↓")
}

func TestLeave(t *testing.T) {
	m := New(sheet(t), golden.Plain(t), false).SetSize(80, 24)
	for _, k := range []tea.KeyMsg{{Type: tea.KeyRunes, Runes: []rune("q")}, {Type: tea.KeyEsc}, {Type: tea.KeyBackspace}} {
		_, cmd := m.Update(k)
		require.NotNil(t, cmd)
		assert.Equal(t, screen.LeaveMsg{}, cmd())
	}
	_, cmd := m.Update(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
	assert.Nil(t, cmd)
}

// What could not be worked out is told, and nothing that people wrote steers the terminal.
func TestTrouble(t *testing.T) {
	m := New(Sheet{Title: "a\x1b[31m", Trouble: "layout.toml:1:1: the layout gives no hoop\nand more"}, golden.Plain(t), false).SetSize(60, 20)
	golden.Exact(t, m.View(), 60, 20)
	assert.Contains(t, m.View(), "gives no hoop")
	assert.Contains(t, m.View(), "and more")
	assert.NotContains(t, m.View(), "\x1b")
	s := sheet(t)
	s.Lengths, s.Bed.Assumed.String = nil, "mains polyester of 1.25 mm"
	s.Bed.Doubts = []string{"doubtful"}
	view := New(s, golden.Plain(t), false).SetSize(200, 80).View()
	assert.NotContains(t, view, "rings at 695 Hz\n")
	assert.Contains(t, view, "! doubtful")
	assert.Contains(t, view, "string: mains polyester of 1.25 mm; it rings at")
}

func BenchmarkView(b *testing.B) {
	m := New(sheet(b), golden.Plain(b), false).SetSize(120, 40)
	for b.Loop() {
		m.View()
	}
}
