package frame

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	if saved, ok := msg.(savedMsg); ok {
		return m.saved(saved)
	}
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return m.typeIn(msg)
	}
	if m.kept != "" { // any key leaves what comes next
		said := "kept as " + m.kept
		return m, func() tea.Msg { return screen.LeaveMsg{Said: said} }
	}
	m.Notice = screen.Notice{}
	leaving := m.leaving
	m.leaving = false
	switch {
	case m.showing:
		m.showing = false
		return m, nil
	case key.Matches(k, m.keys.Cancel):
		return m.cancel(leaving)
	case key.Matches(k, m.keys.Save), key.Matches(k, m.keys.Next) && m.at == fSave:
		return m.save()
	case key.Matches(k, m.keys.Next):
		return m.next(), nil
	case key.Matches(k, m.keys.Up):
		return m.move(-1), nil
	case key.Matches(k, m.keys.Down):
		return m.move(1), nil
	case key.Matches(k, m.keys.Picture):
		m.showing = m.hidden()
		return m, nil
	case key.Matches(k, m.keys.Change) && m.offered() != "":
		return m.say(m.offered()), nil
	}
	return m.typeIn(msg)
}

// Typing says whether text is typed, so that it may be pasted too.
func (m Model) Typing() bool { return m.at != fSave && !m.showing && m.kept == "" }

// Once says whether a key counts once however long it is held down: what saves the frame or leaves the form.
func (m Model) Once(k tea.KeyMsg) bool {
	return m.showing || m.kept != "" || key.Matches(k, m.keys.Save, m.keys.Cancel, m.keys.Picture) || m.at == fSave && key.Matches(k, m.keys.Next)
}

// Small says whether the terminal is too small to show more than that.
func (m Model) Small() bool { return m.Width < MinWidth || m.Height < MinHeight }

// typeIn gives a message to the line that is typed in.
func (m Model) typeIn(msg tea.Msg) (Model, tea.Cmd) {
	if m.at == fSave {
		return m, nil
	}
	if k, ok := msg.(tea.KeyMsg); ok {
		if !m.touched && strings.TrimSpace(string(k.Runes)) != "" {
			m.input.SetValue("") // what stands there is replaced
		}
		m.touched = true
	}
	var changed bool
	var cmd tea.Cmd
	if m.input, changed, cmd = m.input.Type(msg); changed {
		return m.say(m.input.Value()), cmd
	}
	return m, cmd
}

// say changes the text of the field in hand.
func (m Model) say(text string) Model {
	m.texts[m.at] = text
	m.typed, m.sent = true, false
	return m.refresh()
}

// next takes what the field in hand says and goes on, or stays where something is wrong with it.
func (m Model) next() Model {
	if text := m.offered(); text != "" {
		m.texts[m.at], m.left[m.at] = text, false
		m.typed, m.sent = true, false
	}
	m = m.leave()
	if len(m.seen.wrong[m.at]) > 0 {
		return m
	}
	return m.move(1)
}

// leave ends the typing in a field: its text is put in order, and from now on what is wrong with it is said.
func (m Model) leave() Model {
	if m.at == fSave {
		return m
	}
	text, known := m.texts[m.at], m.left[m.at]
	m.left[m.at] = true
	if text != m.origin.texts[m.at] || m.fresh() {
		m.texts[m.at] = tidy(m.at, text)
	}
	if known && text == m.texts[m.at] {
		return m
	}
	return m.refresh()
}

// tidy writes a text as the form would, when it can be read.
func tidy(f id, text string) string {
	text = strings.TrimSpace(text)
	var c patterns.Card
	x := form()[f]
	if x.put(&c, text) != nil || x.get(&c) == "" {
		return text
	}
	return x.get(&c)
}

// move goes to another field that is asked.
func (m Model) move(by id) Model {
	m = m.leave()
	for at := m.at + by; at >= 0 && at <= fSave; at += by {
		if at == fSave || m.shown(at) {
			return m.to(at)
		}
	}
	return m
}

func (m Model) to(at id) Model {
	m.at, m.touched = at, false
	m.input.SetValue("")
	return m.refresh()
}

// cancel leaves the form; when something was typed only at the second time.
func (m Model) cancel(again bool) (Model, tea.Cmd) {
	if m.typed && !again {
		m.leaving = true
		m.Notice = screen.Notice{Text: "esc once more throws away what was typed", Role: theme.Warn}
		return m, nil
	}
	return m, screen.Leave
}

// save sends the finished frame off, or goes to the first field that is not in order.
func (m Model) save() (Model, tea.Cmd) {
	m = m.leave()
	if m.sent {
		return m, nil
	}
	for f := range fields {
		switch {
		case len(m.seen.wrong[f]) > 0:
			m.left[f] = true
			m = m.to(f)
			m.Notice = screen.Wrong("not saved: something is wrong here")
			return m, nil
		case !m.settled(f) && m.seen.usual[f] != "":
			m = m.to(f)
			m.Notice = screen.Notice{Text: "not saved: " + m.seen.usual[f] + " is only what is usual; enter takes it", Role: theme.Warn}
			return m, nil
		}
	}
	if len(m.seen.other) > 0 {
		m.Notice = screen.Wrong("not saved: " + m.seen.other[0])
		return m.to(fSave), nil
	}
	if m.name() == "" {
		m = m.to(fName)
		m.Notice = screen.Wrong("not saved: a name needs a letter or a digit")
		return m, nil
	}
	m.sent, m.typed = true, false
	m.Notice = screen.Said("saving " + m.path())
	keep, name, text := m.keep, m.name(), m.seen.text
	return m, func() tea.Msg {
		path, err := keep(name, text)
		return savedMsg{path, err}
	}
}

// saved shows what comes next once the frame is kept; otherwise it can be saved again.
func (m Model) saved(msg savedMsg) (Model, tea.Cmd) {
	if msg.err != nil {
		m.Notice, m.sent = screen.Wrong(msg.err.Error()), false
		return m, nil
	}
	m.kept, m.Notice = msg.path, screen.Notice{}
	return m, nil
}
