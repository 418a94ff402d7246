package bench

import (
	"context"
	"errors"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/book"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// record sends an event to the book; the state moves, and the question that it answers is over, only when it has arrived.
func (m Model) record(e progress.Event) (Model, tea.Cmd) {
	e.At = m.set.Now()
	job := m.job
	return m, m.write.send(func() tea.Msg {
		// What was done is recorded even when the program is told to end meanwhile.
		msg := recordedMsg{event: e, err: job.Recorder.Record(context.Background(), e)}
		msg.alarm = job.alarm(false)
		return msg
	})
}

func (j Job) alarm(others bool) string {
	if j.Alarm == nil {
		return ""
	}
	return j.Alarm(others)
}

// alarmMsg answers what has to be known now that other benches did something.
type alarmMsg struct{ text string }

func (msg alarmMsg) to(m Model) (Model, tea.Cmd) {
	if m.alarm == msg.text {
		return m, nil
	}
	m.alarm, m.briefly = msg.text, false
	if m.alarm == "" || m.set.Say == nil {
		return m, m.rung(m.alarm != "")
	}
	m.texts++
	return m, tea.Batch(m.rung(true), m.voice(m.texts+1, m.set.Spoken.Text(m.alarm)))
}

// stirred asks that.
func (m Model) stirred() tea.Msg { return alarmMsg{m.job.alarm(true)} }

// recordedMsg answers an attempt to record an event.
type recordedMsg struct {
	event progress.Event
	err   error
	alarm string
}

func (msg recordedMsg) to(m Model) (Model, tea.Cmd) {
	leaving := m.write.arrived()
	m.briefly = m.alarm == msg.alarm
	m.alarm = msg.alarm
	next, err := m.state, msg.err
	if err == nil {
		next, err = m.state.Apply(msg.event)
	}
	if err != nil {
		said := "NOT SAVED, so not counted: "
		if errors.As(err, new(*book.UnsureError)) {
			said = "PERHAPS " + said
		}
		m.write.fails(said+err.Error(), m.set.Now())
		leaving = false
	} else {
		m.state = next
		m.remember(msg.event)
		m.anew = takenBack(m.past)
		m.look = 0
		if m.mode != helping {
			m.mode, m.asked = working, nil
		}
	}
	m.now = msg.event.At
	if m.began.IsZero() && err == nil {
		m.began = msg.event.At
	}
	m.refresh()
	if err == nil {
		m.told(msg.event)
		m.times(msg.event)
	}
	cmds := []tea.Cmd{m.rung(err == nil && m.mode == working && m.scene.face.boost != ""), m.titled(), m.turned(), m.foreseeAnew()}
	if leaving {
		return m, tea.Batch(append(cmds, screen.Leave)...)
	}
	then := m.then
	if m.then = nil; err != nil {
		return m, tea.Batch(cmds...)
	}
	if m.asksWhy(msg.event); then == nil {
		return m, tea.Batch(cmds...)
	}
	m, cmd := then(m) // what waited for it
	return m, tea.Batch(append(cmds, cmd)...)
}

// takenBack says whether what was told to have gone wrong was taken back and nothing was done since.
func takenBack(past progress.Journal) bool {
	n := len(past.Events)
	for ; n > 0 && slices.Contains([]progress.Kind{progress.Note, progress.Why, progress.Resume}, past.Events[n-1].Kind); n-- {
	}
	if n == 0 || past.Events[n-1].Kind != progress.Back {
		return false
	}
	was, back := past.States[n-1].Plan(), past.States[n]
	return back.Plan() != was && tellsMishap(&was.Steps[back.Last()])
}

// tellsMishap says whether a step writes down that something went wrong.
func tellsMishap(s *plan.Step) bool {
	o := s.Mishap()
	return o == nil || o.Fault != plan.FaultPause
}

// asksWhy asks why something happened, once an event is kept that ends its cure.
func (m *Model) asksWhy(e progress.Event) {
	switch e.Kind {
	case progress.Note, progress.Resume:
	case progress.Why:
		m.askWhy(m.why[1:])
	default:
		m.askWhy(cured(m.past))
	}
}

// told says what was recorded where the screen does not show it by itself.
func (m *Model) told(e progress.Event) {
	switch e.Kind {
	case progress.Note:
		m.notice = screen.Notice{Text: "noted: " + e.Why, Role: theme.OK}
	case progress.Redo, progress.Mishap:
		m.notice = screen.Notice{Text: m.past.Events[len(m.past.Events)-1].Told() + ": kept in the journal; ⌫ takes it back", Role: theme.Warn}
	case progress.Back:
		m.notice = screen.Notice{Text: "one step back, kept in the journal; if it is done, " + m.keys.Done.Help().Key + " says so", Role: theme.Quiet}
	}
}
