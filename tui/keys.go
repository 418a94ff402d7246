package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/theme"
)

// hand is what a screen says of the keys that it takes.
type hand interface {
	// Typing says whether text is typed at the moment, so that it may be pasted too.
	Typing() bool
	// Once says whether a key counts once however long it is held down.
	Once(k tea.KeyMsg) bool
}

// hand is the screen that is up.
func (m Model) hand() hand {
	switch m.at {
	case onBench:
		return m.bench
	case onFrame:
		return m.frame
	case onEar:
		return m.ear
	case onNumbers:
		return m.numbers
	case onBook:
		return m.book
	case onLot:
		return m.lot
	case onChart:
		return m.chart
	}
	return m.rack
}

// small says whether the screen that is up only says that it is too small.
func (m Model) small() bool {
	return m.at == onBench && m.bench.Small() || m.at == onFrame && m.frame.Small()
}

// pressed hands a key to the screen that is up, unless nobody meant it: a key that is held down, a paste where nothing is
// typed, a key on a screen that shows nothing.
func (m Model) pressed(k tea.KeyMsg) (Model, tea.Cmd) {
	if k.Type == tea.KeyCtrlC {
		return m, tea.Quit
	}
	var cmds []tea.Cmd
	for _, k := range apart(k) {
		var held bool
		m.came, held = m.came.press(k, m.opts.Bench.Now(), m.opts.Bench.Hold)
		up := m.hand()
		m.burst = k.Paste && !up.Typing()
		switch {
		case m.burst, held && up.Once(k), m.small() && (up.Typing() || k.String() != "?" && k.String() != "q"):
			continue
		}
		var cmd tea.Cmd
		m, cmd = m.pass(k)
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// apart takes keys apart that the terminal handed over as one piece of text because they were typed quickly.
func apart(k tea.KeyMsg) (out []tea.KeyMsg) {
	if k.Type != tea.KeyRunes || k.Paste || k.Alt {
		return []tea.KeyMsg{k}
	}
	for _, r := range k.Runes {
		out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	return out
}

// came is when each key came last, as far back as it matters. It is never changed, only followed by another one.
type came map[string]time.Time

// press notes a key, or those of a paste, and says whether it is only held down: the same key came within the hold,
// whatever came between and whether it counted or not.
func (c came) press(k tea.KeyMsg, at time.Time, hold time.Duration) (came, bool) {
	next := came{}
	for name, before := range c {
		if at.Sub(before) < hold {
			next[name] = before
		}
	}
	_, held := next[k.String()]
	next[k.String()] = at
	if k.Paste {
		for _, r := range k.Runes {
			next[string(r)] = at
		}
	}
	return next, held && !k.Paste
}

// warned is a frame with a word about keys that were dropped above its last line, where it covers no notice.
func (m Model) warned(frame string) string {
	lines := strings.Split(frame, "\n")
	if !m.burst || len(lines) < 2 {
		return frame
	}
	t := m.opts.Bench.Theme
	text := t.Style(theme.Warn).Render(" a burst of keys, as a paste makes, was dropped: nothing was marked")
	lines[len(lines)-2] = t.Paint(theme.Fill(text, m.width, m.opts.Bench.ASCII))
	return strings.Join(lines, "\n")
}
