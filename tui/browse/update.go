package browse

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// The answers of the book, each with the number of its question.
type (
	foundMsg struct {
		seq   int
		items []shop.Item
		err   error
	}
	pageMsg struct {
		seq  int
		page shop.Page
		err  error
	}
	blankMsg struct {
		seq   int
		blank map[string]string
	}
	keptMsg struct {
		seq    int
		record book.Record
		err    error
	}
	toldMsg struct {
		seq  int
		ask  question
		text string
		err  error
	}
	filledMsg struct {
		seq int
		n   int
		err error
	}
	awayMsg struct {
		seq int
		err error
	}
)

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return m.press(msg)
	case foundMsg:
		return m.found(msg)
	case pageMsg:
		return m.turned(msg)
	case blankMsg:
		if msg.seq == m.form.blankSeq {
			m.form.blank = msg.blank
		}
	case keptMsg:
		return m.kept(msg)
	case toldMsg:
		m = m.told(msg)
	case filledMsg:
		return m.filled(msg)
	case awayMsg:
		return m.away(msg)
	case screen.Notice:
		m.Notice = msg
	case screen.BackMsg:
		return m, m.Init()
	}
	return m, nil
}

// Typing says whether text is typed, so that it may be pasted too.
func (m Model) Typing() bool {
	return m.at == onList || m.at == onForm && !m.form.rows[m.form.at].picks()
}

// Once says whether a key counts once however long it is held down: what opens, asks, answers, keeps or leaves.
func (m Model) Once(k tea.KeyMsg) bool {
	switch m.at {
	case onPage:
		return !key.Matches(k, m.keys.Up, m.keys.Down, m.keys.PageUp, m.keys.PageDown) && k.String() != "j" && k.String() != "k"
	case onForm:
		return key.Matches(k, m.keys.Keep, m.keys.Back) || m.form.last() && key.Matches(k, m.keys.Open)
	}
	return key.Matches(k, m.keys.New, m.keys.Open, m.keys.Back)
}

// press takes a key. While a page is on its way only esc counts, and stays where one is.
func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	m.Notice = screen.Notice{}
	if m.want.seq != 0 {
		if key.Matches(k, m.keys.Back) && m.want.uid != "" {
			m.want = want{}
		}
		return m, nil
	}
	switch m.at {
	case onPage:
		return m.pressPage(k)
	case onForm:
		return m.pressForm(k)
	}
	return m.pressList(k)
}

// found takes the answer of a search to the list or the form that still waits for it.
func (m Model) found(msg foundMsg) (Model, tea.Cmd) {
	switch msg.seq {
	case m.list.seq:
		return m.listed(msg)
	case m.form.seq:
		return m.matched(msg)
	}
	return m, nil
}

// next numbers a question to the book.
func (m *Model) next() int {
	m.seq++
	return m.seq
}

func (m Model) say(r theme.Role, text string) Model {
	m.Notice = screen.Notice{Text: text, Role: r}
	return m
}
