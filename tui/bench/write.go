package bench

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// write is what is on its way to the book, and what did not get there.
type write struct {
	pending bool // nothing is marked and no answer is taken until it has arrived
	slow    bool // it takes so long that the screen says so
	leaving bool // the stringer leaves as soon as it has arrived
	mending bool // what is on its way is no write but the way back that is worked out
	// failed is what did not get there and why; it stands, and nothing is marked, until it was acknowledged.
	failed string
	at     time.Time // when it failed
}

const (
	// slow is after what time the screen says that something is being saved.
	slow = 300 * time.Millisecond
	// standing is for how long a failure stands at least: a key that was on its way already has not seen it.
	standing = 500 * time.Millisecond
)

// slowMsg says that a write takes its time; its answer comes over the channel.
type slowMsg struct{ answer <-chan tea.Msg }

func (msg slowMsg) to(m Model) (Model, tea.Cmd) {
	m.write.slow = true
	return m, func() tea.Msg { return <-msg.answer }
}

// send sends a write on its way.
func (w *write) send(do func() tea.Msg) tea.Cmd {
	*w = write{pending: true}
	return func() tea.Msg {
		answer := make(chan tea.Msg, 1)
		go func() { answer <- do() }()
		late := time.NewTimer(slow)
		defer late.Stop()
		select {
		case msg := <-answer:
			return msg
		case <-late.C:
			return slowMsg{answer}
		}
	}
}

// arrived ends a write that has come back, and says whether the stringer wanted to leave once it had.
func (w *write) arrived() (leaving bool) {
	leaving = w.leaving
	*w = write{}
	return leaving
}

// fails has a failure stand.
func (w *write) fails(text string, at time.Time) { w.failed, w.at = text, at }

// seen acknowledges the failure that stands, when it has stood long enough to be seen.
func (w *write) seen(at time.Time) {
	if !w.pending && at.Sub(w.at) >= standing {
		w.failed = ""
	}
}
