package bench

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/screen"
)

// turned has the house remember how the frame lies on its machine, once the stringer works on with it.
func (m *Model) turned() tea.Cmd {
	if m.job.Turned == nil || m.view == m.lies {
		return nil
	}
	m.lies = m.view
	keep, v := m.job.Turned, m.view
	return func() tea.Msg { return turnedMsg{keep(v)} }
}

// turnedMsg answers an attempt to remember the turn.
type turnedMsg struct{ err error }

func (msg turnedMsg) to(m Model) (Model, tea.Cmd) {
	if msg.err != nil {
		m.write.fails("turned here, but not remembered: "+msg.err.Error(), m.set.Now())
	}
	return m, nil
}

// canPark says whether the racket can be set aside: it is in work and the house knows how.
func (m Model) canPark() bool {
	return m.job.Park != nil && m.state.Status() == progress.Open && !m.began.IsZero()
}

// park sets the racket aside.
func (m Model) park() (Model, tea.Cmd) {
	park := m.job.Park
	return m, m.write.send(func() tea.Msg { return parkedMsg{park()} })
}

// parkedMsg answers an attempt to park.
type parkedMsg struct{ err error }

func (msg parkedMsg) to(m Model) (Model, tea.Cmd) {
	m.write.arrived()
	if msg.err != nil {
		m.write.fails("not parked: "+msg.err.Error(), m.set.Now())
		return m, nil
	}
	return m, func() tea.Msg { return screen.LeaveMsg{Said: "parked; it waits where it was"} }
}

// breath is how long it takes at most until a frame is on the screen, which nothing else is worked out beside.
const breath = 50 * time.Millisecond

// foreseeAnew has what to say before steps worked out where another plan is followed. It takes a processor for a tenth of a second, so it is
// not asked for while it is on its way.
func (m *Model) foreseeAnew() tea.Cmd {
	if m.foresees == m.state.Plan() {
		return nil
	}
	m.foresees = m.state.Plan()
	return m.foresee()
}

// foresee has the house work out what to say before the steps of the plan.
func (m Model) foresee() tea.Cmd {
	p, work := m.state.Plan(), m.job.Foresee
	if work == nil {
		return nil
	}
	return tea.Tick(breath, func(time.Time) tea.Msg { return foreseenMsg{p, work(p)} })
}

// foreseenMsg says what was foreseen of a plan, by step.
type foreseenMsg struct {
	of *plan.Plan
	by map[int][]string
}

// before is what to say before a step of a plan; nothing while it is worked out anew for another plan.
func (msg foreseenMsg) before(p *plan.Plan, n int) []string {
	if msg.of != p {
		return nil
	}
	return msg.by[n]
}

func (msg foreseenMsg) to(m Model) (Model, tea.Cmd) {
	if msg.of == m.state.Plan() {
		m.foreseen = msg
	}
	return m, nil
}
