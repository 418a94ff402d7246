package browse

import (
	"context"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// asksFill asks the book which rackets a lot lacks, and then whether they are to be put in.
func (m Model) asksFill() (Model, tea.Cmd) {
	b, seq, uid := m.book, m.next(), m.sheet.page.UID
	m.want = want{seq: seq}
	return m, func() tea.Msg {
		text, err := b.RestOfLot(context.Background(), uid)
		return restMsg{seq, text, err}
	}
}

// rest takes the book's answer to that.
func (m Model) rest(msg restMsg) Model {
	if msg.seq != m.want.seq || m.at != onPage {
		return m
	}
	m.want = want{}
	if msg.err != nil {
		return m.say(theme.Danger, msg.err.Error())
	}
	m.sheet.ask = askFill
	return m.say(theme.Warn, "into the lot go "+msg.text+"; f again puts them in, any other key leaves it")
}

// fill tells the book to put them in.
func (m Model) fill() (Model, tea.Cmd) {
	b, seq, uid := m.book, m.next(), m.sheet.page.UID
	m.want = want{seq: seq}
	return m, func() tea.Msg {
		list, err := b.FillLot(context.Background(), uid)
		return filledMsg{seq, len(list), err}
	}
}

// filled takes the book's answer to that.
func (m Model) filled(msg filledMsg) (Model, tea.Cmd) {
	if msg.seq != m.want.seq {
		return m, nil
	}
	m.want = want{}
	if msg.err != nil {
		return m.say(theme.Danger, msg.err.Error()), nil
	}
	return m.again("", screen.Said(fmt.Sprintf("%d more of the lot wait now", msg.n)))
}
