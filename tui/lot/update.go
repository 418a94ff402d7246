package lot

import (
	"context"
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case sheetMsg:
		m = m.answered(msg)
	case screen.Notice:
		m.Notice = msg
	case tea.KeyMsg:
		if m.sent {
			return m, nil // the book has not answered yet
		}
		m.Notice = screen.Notice{}
		switch m.mode {
		case reading:
			m, cmd = m.pressSheet(msg)
		case deciding:
			m, cmd = m.pressDeciding(msg)
		case wording:
			m, cmd = m.pressWords(msg)
		default:
			m = m.pressList(msg)
		}
	}
	return m.fit(), cmd
}

// Typing says whether text is typed, so that it may be pasted too.
func (m Model) Typing() bool { return m.mode == wording || m.mode == deciding && m.reasons() }

// Once says whether a key counts once however long it is held down: what asks, answers, decides or leaves.
func (m Model) Once(k tea.KeyMsg) bool {
	switch {
	case m.Typing():
		return key.Matches(k, m.keys.Choose, m.keys.Decide, m.keys.Back)
	case m.mode == reading:
		return !key.Matches(k, m.keys.More, m.keys.Less, m.keys.PageUp, m.keys.PageDown)
	}
	return !key.Matches(k, m.keys.Up, m.keys.Down)
}

func (m Model) pressSheet(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Leave):
		return m, screen.Leave
	case key.Matches(k, m.keys.Judge):
		return m.judge(), nil
	case key.Matches(k, m.keys.More):
		m.mains, m.crosses = m.mains.Plus(m.step()), m.crosses.Plus(m.step())
	case key.Matches(k, m.keys.Less):
		m.mains, m.crosses = m.mains.Minus(m.step()), m.crosses.Minus(m.step())
	case key.Matches(k, m.keys.Same):
		m.mains, m.crosses = m.sheet.Suggestion.Mains, m.sheet.Suggestion.Crosses
	case key.Matches(k, m.keys.Decide):
		m.mode, m.doubted = deciding, false
		m.input.Reset()
	case key.Matches(k, m.keys.Print):
		b, uids := m.book, make([]string, len(m.sheet.Rackets))
		for i, r := range m.sheet.Rackets {
			uids[i] = r.UID
		}
		m.Notice = screen.Notice{Text: "printing", Role: theme.Quiet}
		return m, func() tea.Msg {
			if err := b.Print(context.Background(), uids...); err != nil {
				return screen.Wrong(err.Error())
			}
			return screen.Said(fmt.Sprintf("printed: %d", len(uids)))
		}
	case key.Matches(k, m.keys.PageUp):
		m.top = max(m.top-m.page(), 0)
	case key.Matches(k, m.keys.PageDown):
		m.top += m.page()
	}
	return m, nil
}

// page is how far a key scrolls: one line of the last page stays in sight.
func (m Model) page() int { return max(m.evidenceRows()-1, 1) }

// answered takes the book's answer.
func (m Model) answered(msg sheetMsg) Model {
	m.sent = false
	if msg.err != nil {
		m.Notice = screen.Wrong("! " + msg.err.Error())
		if doubts, ok := shop.Doubted(msg.err); ok && m.mode == deciding {
			m.doubted, m.Notice = true, screen.Notice{Text: "! " + doubts.Words() + "; is it meant so?", Role: theme.Warn}
		}
		return m // in the mode in which it was sent, so that nothing typed is lost
	}
	decided, mains, crosses, before := m.mode == deciding, m.mains, m.crosses, m.sheet.Suggestion
	m.mode, m.Notice = reading, screen.Said(msg.said)
	m = m.show(msg.sheet)
	if now := msg.sheet.Suggestion; decided && m.suggested() && now.Mains == before.Mains && now.Crosses == before.Crosses {
		m.mains, m.crosses = mains, crosses // what was decided stays in sight
	}
	return m
}

// pressDeciding asks once: enter decides, esc leaves it, and where it is not as suggested all else is typed as the reason.
func (m Model) pressDeciding(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Back):
		m.mode = reading
		return m, nil
	case key.Matches(k, m.keys.Decide):
		return m.decide()
	case m.reasons():
		return m.typeIn(k)
	}
	return m, nil
}

func (m Model) decide() (Model, tea.Cmd) {
	m.sent = true
	b, mains, crosses, reason := m.book, m.mains, m.crosses, ""
	said := "decided: " + m.forThose()
	if m.reasons() {
		reason = m.typed()
	}
	if m.differs() {
		said += ", suggested was " + pair(m.sheet.Suggestion.Mains, m.sheet.Suggestion.Crosses)
	}
	if reason != "" {
		said += ", because: " + reason
	}
	return m, func() tea.Msg {
		s, err := b.Decide(context.Background(), mains, crosses, reason)
		return sheetMsg{s, said, err}
	}
}

// typeIn gives a key to the line that is typed in, without what would steer the terminal.
func (m Model) typeIn(k tea.KeyMsg) (Model, tea.Cmd) {
	k.Runes = theme.Typed(k.Runes)
	var cmd tea.Cmd
	m.input, cmd = m.input.Update(k)
	return m, cmd
}

// typed is what was typed, without blanks around it.
func (m Model) typed() string { return screen.Line(m.input.Value()) }
