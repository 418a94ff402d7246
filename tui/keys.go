package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// pressed hands a key to the screen that is up, unless nobody meant it: a key that is held down, a paste where nothing is
// typed, a key on a screen that shows nothing.
func (m Model) pressed(k tea.KeyMsg) (Model, tea.Cmd) {
	if k.Type == tea.KeyCtrlC {
		return m, tea.Quit
	}
	var cmds []tea.Cmd
	for _, k := range separate(k) {
		var held bool
		m.recent, held = m.recent.press(k, m.opts.Now(), m.opts.Hold)
		up := m.up()
		m.burst = k.Paste && !up.Typing()
		if name := strings.TrimSpace(string(k.Runes)); m.burst && shop.Scanned(name) {
			m, _ = m.pass(len(m.stack)-1, screen.ScanMsg{Name: name})
			m.burst = !m.up().Typing() // nobody looked for it
			continue
		}
		switch {
		case m.burst, held && up.Once(k), up.Small() && (up.Typing() || k.String() != "?" && k.String() != "q"):
			continue
		}
		if m.helps > 0 {
			if _, more := m.help(); more {
				m.helps++
			} else {
				m.helps = 0
			}
			continue
		}
		if m.asks(k) {
			m.helps = 1
			continue
		}
		var cmd tea.Cmd
		m, cmd = m.pass(len(m.stack)-1, k)
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// asks says whether a key asks the screen that is up for its keys: a question mark where that is no text, or f1.
func (m Model) asks(k tea.KeyMsg) bool {
	up := m.up()
	h := up.Help()
	return h.Text != "" && (k.String() == "f1" || k.String() == "?" && (!up.Typing() || h.Empty))
}

// separate takes keys apart that the terminal handed over as one piece of text because they were typed quickly.
func separate(k tea.KeyMsg) (out []tea.KeyMsg) {
	if k.Type != tea.KeyRunes || k.Paste || k.Alt {
		return []tea.KeyMsg{k}
	}
	for _, r := range k.Runes {
		out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	return out
}

// recent is when each key came last, as far back as it matters. It is never changed, only followed by another one.
type recent map[string]time.Time

// press notes a key, or those of a paste, and says whether it is only held down: the same key came within the hold,
// whatever came between and whether it counted or not.
func (c recent) press(k tea.KeyMsg, at time.Time, hold time.Duration) (recent, bool) {
	next := recent{}
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
	t := m.opts.Theme
	text := t.Style(theme.Warn).Render(" a burst of keys, as a paste makes, was dropped: nothing was marked")
	lines[len(lines)-2] = t.Paint(theme.Fill(text, m.width, m.opts.ASCII))
	return strings.Join(lines, "\n")
}
