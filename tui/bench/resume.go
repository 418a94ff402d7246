package bench

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/cases"
	"pullcard/sequence/progress"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// resume takes the answer whether things stand as they were left. No is: the last pull may have been in the gripper only, or
// a clamp does not hold.
func (m Model) resume(msg tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Leave):
		return m, screen.Leave
	case m.set.Say != nil && key.Matches(msg, m.keys.Repeat):
		cmd := m.said()
		return m, cmd
	case !key.Matches(msg, m.keys.Confirm, m.keys.Again):
		m.notice = screen.Notice{Text: "look first: enter goes on, n says what does not hold", Role: theme.Warn}
		return m, nil
	case m.state.Detour():
		return m.askAnew()
	case key.Matches(msg, m.keys.Confirm):
		return m.record(progress.Event{Kind: progress.Resume, Step: m.state.Current(), Why: "clamps stand as shown"})
	}
	if q := m.moment().Doubtful(); len(q.Answers) > 0 {
		return m.ask(q), nil
	}
	return m.back() // nothing holds yet: the last step is not done
}

// askAnew closes a detour of an older book and asks what had slipped, for now there is a way back for each case.
func (m Model) askAnew() (Model, tea.Cmd) {
	if m.state.Detour() {
		m.then = Model.askAnew
		return m.record(progress.Event{Kind: progress.Back, Step: m.state.Current()})
	}
	if q := m.moment().Slipped(); len(q.Answers) > 0 {
		return m.ask(q), nil
	}
	return m, nil
}

// moment is where the work stands.
func (m Model) moment() cases.Moment { return cases.At(m.state.Plan(), m.state.Last()) }

// waits is what is asked when a question is left unanswered: a racket that was left waits for its confirmation.
func (m Model) waits() mode {
	if len(m.job.Events) > 0 && len(m.past.Events) == len(m.job.Events) && m.state.Status() == progress.Open {
		return resuming
	}
	return working
}
