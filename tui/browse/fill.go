package browse

import (
	"context"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

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
