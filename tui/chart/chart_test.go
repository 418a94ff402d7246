package chart

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "pullcard/patterns/sweep" // for what is drawn
	"pullcard/sequence/controlchart"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

var names = []string{"all", "drift", "few", "none"}

func TestFrames(t *testing.T) {
	for i, name := range names {
		m := plainly(t, series(t), false)
		for range i {
			m, _ = press(m, "right")
		}
		for _, s := range golden.Sizes() {
			m = m.SetSize(s[0], s[1])
			golden.Exact(t, m.View(), s[0], s[1])
			golden.Check(t, *update, "chart_"+fmt.Sprintf("%s_%dx%d", name, s[0], s[1]), shows(m))
		}
		plain := shows(m)
		m = m.SetTheme(golden.Theme(t, "dark", termenv.TrueColor))
		require.Equal(t, plain, shows(m), "colours change no word")
		for _, s := range golden.Odd() {
			golden.Exact(t, m.SetSize(s[0], s[1]).View(), s[0], s[1])
		}
	}
	require.Empty(t, New(nil, series(t), golden.Theme(t, "plain", termenv.Ascii), false).View(), "before the size is known")
}

func TestASCII(t *testing.T) {
	m := plainly(t, series(t), true)
	for _, name := range names {
		golden.Check(t, *update, "chart_"+name+"_ascii_80x24", shows(m))
		golden.ASCII(t, shows(m))
		m, _ = press(m, "right")
	}
}

// The heading tells what the chart comes to, and the plot is as large as the room between head and words.
func TestHeadAndPlot(t *testing.T) {
	list := series(t)
	c := list[0].Chart
	for _, s := range golden.Sizes() {
		m := plainly(t, list, false).SetSize(s[0], s[1])
		got := shows(m)
		lower, upper := c.Base.Limits()
		assert.Contains(t, got, fmt.Sprintf("33 stringings, limits %.3f to %.3f, + is the EWMA", lower, upper))
		plot := controlchart.Text(c, s[0]-2, m.free()-m.words.Height, false)
		assert.GreaterOrEqual(t, len(plot), s[1]/3)
		for i, l := range plot {
			assert.Equal(t, " "+l, strings.TrimSuffix(strings.Split(got, "\n")[2+i], " "), "row %d", i)
		}
	}
	m, _ := press(plainly(t, list, false), "right")
	assert.Contains(t, shows(m), "no stringing since the baseline")
	assert.Contains(t, shows(m), "! baseline the first 20, not decided on: ")
	m, _ = press(m, "right")
	assert.Contains(t, shows(m), "3 stringings; limits come with a baseline of 20")
}

func TestTooFew(t *testing.T) {
	for _, list := range [][]Series{nil, {{Title: "one machine"}}} {
		m := plainly(t, list, false)
		assert.Contains(t, shows(m), "keep a reading after each job: on the job's page press a")
		assert.NotContains(t, shows(m), "→ readings")
		still, _ := press(m, "left", "right", "up", "down")
		assert.Equal(t, shows(m), shows(still))
	}
}

// The arrows go through the series and around, and the words begin anew.
func TestSeries(t *testing.T) {
	m := plainly(t, series(t), false)
	assert.Contains(t, shows(m), "all readings  (1 of 4)")
	back, _ := press(m, "left")
	assert.Contains(t, shows(back), "Invented round 1.25  (4 of 4)")
	assert.Contains(t, shows(back), "1 reading so far")
	round, _ := press(m, "down", "down", "right", "right", "right", "right")
	assert.Equal(t, shows(m), shows(round))
}

// Every word can be reached, no further, and keys that cannot act are not shown.
func TestScroll(t *testing.T) {
	list := series(t)
	m := plainly(t, list, false).SetSize(60, 20)
	assert.Contains(t, shows(m), "more below")
	seen := shows(m)
	for range 80 {
		m, _ = press(m, "down")
		seen += shows(m)
	}
	for _, i := range list[0].Chart.Flagged() {
		require.Contains(t, seen, fmt.Sprintf("◆ job %d,", 101+i))
	}
	require.Contains(t, seen, "2 readings are not in it")
	assert.NotContains(t, shows(m), "more below")
	bottom := shows(m)
	m, _ = press(m, "down")
	assert.Equal(t, bottom, shows(m))
	m, _ = press(m, "up")
	assert.NotEqual(t, bottom, shows(m))
	few, _ := press(m, "right", "right")
	assert.NotContains(t, shows(few), "scroll")
	assert.False(t, few.keys.Down.Enabled())
}

// keeps is a book whose readings change once a person has decided.
type keeps struct {
	list []Series
	err  error
}

func (b keeps) Charts() ([]Series, error)              { return b.list, b.err }
func (b keeps) Decide(s Series) (screen.Screen, error) { return nil, errors.New(s.Baseline.With) }

// A person decides on the baseline of the readings that are shown, and then they are read anew; where no readings make one
// the key does nothing.
func TestBaseline(t *testing.T) {
	m := plainly(t, series(t), false)
	assert.Contains(t, shows(m), "b baseline")
	m.book = keeps{list: series(t)[:1]}
	_, cmd := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("b")})
	_, err := cmd().(screen.OpenMsg).Open()
	assert.EqualError(t, err, "tap")
	m, _ = press(m, "right", "right")
	assert.NotContains(t, shows(m), "b baseline")
	_, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("b")})
	assert.Nil(t, cmd)

	back := func(m Model) Model {
		m, cmd := m.Update(screen.BackMsg{})
		m, _ = m.Update(cmd())
		return m
	}
	assert.Contains(t, shows(back(m)), "all readings")
	m.book = keeps{err: errors.New("the shelf fell over")}
	m = back(m)
	assert.Contains(t, shows(m), "(3 of 4)", "what was shown stays")
	assert.Contains(t, shows(m), "the shelf fell over")
	m, _ = press(m, "up")
	assert.NotContains(t, shows(m), "the shelf fell over")
	m, _ = m.Update(screen.Said("baseline spring is in the book"))
	golden.Exact(t, m.View(), 80, 24)
	assert.Contains(t, shows(m), "baseline spring is in the book")
}

func TestLeave(t *testing.T) {
	for _, k := range []string{"q", "esc"} {
		_, left := press(plainly(t, series(t), false), k)
		assert.True(t, left, k)
	}
	_, left := press(plainly(t, series(t), false), "x")
	assert.False(t, left)
	assert.Nil(t, plainly(t, nil, false).Init())
}

// Whatever things are called, every screen is as large as the terminal and nothing steers it.
func TestHostileText(t *testing.T) {
	texts := golden.Texts()
	list := series(t)
	rapid.Check(t, func(rt *rapid.T) {
		hostile := texts.Draw(rt, "text")
		width, height := rapid.IntRange(1, 130).Draw(rt, "width"), rapid.IntRange(1, 40).Draw(rt, "height")
		chart := rapid.SampledFrom(list).Draw(rt, "series").Chart
		m := plainly(t, []Series{{Title: hostile, Chart: chart, Words: []string{hostile, hostile}, Note: hostile}}, false).SetSize(width, height)
		for range 3 {
			golden.Exact(t, m.View(), width, height)
			for _, c := range m.View() {
				require.False(t, c < ' ' && c != '\n' || c == '\u202e' || c == '\u2028', "%q", c)
			}
			m, _ = press(m, "down")
		}
	})
}

func BenchmarkView(b *testing.B) {
	m := plainly(b, series(b), false).SetSize(200, 60)
	for b.Loop() {
		m.View()
	}
}
