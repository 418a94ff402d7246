package bench

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/run"
	"pullcard/tui/theme"
)

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		m.waiting = append(m.waiting, strokes(msg, m.set.Now())...)
		return m.next()
	case recordedMsg:
		return m.recorded(msg)
	case tickMsg:
		before := m.bareFor()
		m.now = time.Time(msg)
		return m, tea.Batch(tick(), m.rung(before < bareNotice && m.bareFor() >= bareNotice || before < bareAlarm && m.bareFor() >= bareAlarm))
	case turnedMsg:
		if msg.err != nil {
			m.notice = notice{"turned here, but not remembered: " + msg.err.Error(), theme.Warn}
		}
		return m, nil
	case parkedMsg:
		if msg.err != nil {
			m.notice = notice{"not parked: " + msg.err.Error(), theme.Danger}
			return m, nil
		}
		return m, func() tea.Msg { return LeaveMsg{"parked; it waits where it was"} }
	}
	return m, nil
}

// stroke is a key and when it came, which is not when its turn comes.
type stroke struct {
	tea.KeyMsg
	at time.Time
}

// strokes takes apart what the terminal handed over as one piece of text because it was typed quickly.
func strokes(msg tea.KeyMsg, at time.Time) (out []stroke) {
	if msg.Type != tea.KeyRunes || msg.Paste || msg.Alt {
		return []stroke{{msg, at}}
	}
	for _, r := range msg.Runes {
		out = append(out, stroke{tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}, at})
	}
	return out
}

// held says whether a key is only held down: the same key came within the time of its previous event. Text and lists
// are typed as always, and looking at other steps changes nothing, so there a key may repeat.
func (m *Model) held(msg stroke) bool {
	name := msg.String()
	held := name == m.lastKey && msg.at.Sub(m.lastAt) < m.set.Hold
	m.lastKey, m.lastAt = name, msg.at
	return held && (m.mode == working || m.mode == resuming) && !key.Matches(msg.KeyMsg, m.keys.Earlier, m.keys.Later)
}

func (m Model) key(s stroke) (Model, tea.Cmd) {
	if m.held(s) {
		return m, nil
	}
	msg := s.KeyMsg
	m.notice = notice{}
	switch m.mode {
	case resuming:
		return m.resume(msg)
	case slipping:
		return m.slip(msg)
	case troubled:
		return m.trouble(msg)
	case asking, noting:
		return m.write(msg)
	case helping:
		m.mode = working
		return m, nil
	}
	return m.work(msg)
}

func (m Model) work(msg tea.KeyMsg) (Model, tea.Cmd) {
	switch k := m.keys; {
	case key.Matches(msg, k.Done):
		return m.done()
	case key.Matches(msg, k.Back):
		return m.back()
	case key.Matches(msg, k.Earlier):
		return m.lookAt(m.shown() - 1), nil
	case key.Matches(msg, k.Later):
		return m.lookAt(m.shown() + 1), nil
	case key.Matches(msg, k.Slip) && len(m.slips) > 0:
		m.mode, m.choice, m.look = slipping, 0, 0
		m.refresh()
	case key.Matches(msg, k.Wrong) && m.state.Status() == run.Open && m.state.Last() > 0:
		return m.wrong()
	case key.Matches(msg, k.Note):
		m.mode = noting
		m.input.Placeholder = "what is worth keeping"
		m.input.SetValue("")
		return m, m.input.Focus()
	case key.Matches(msg, k.Numbers) && m.job.Numbers != nil:
		work := m.job.Numbers
		return m, func() tea.Msg { return NumbersMsg{work} }
	case key.Matches(msg, k.Turn):
		m.view = m.view.Next()
		m.notice = notice{"the picture: " + m.view.String(), theme.Quiet}
		m.refresh()
	case key.Matches(msg, k.Far):
		m.far = !m.far
	case key.Matches(msg, k.Help):
		m.mode = helping
	case key.Matches(msg, k.Park) && m.canPark():
		park := m.job.Park
		return m, func() tea.Msg { return parkedMsg{park()} }
	case key.Matches(msg, k.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m, nil
}

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

// parkedMsg answers an attempt to park.
type parkedMsg struct{ err error }

// canPark says whether the racket can be set aside: it is in work and the house knows how.
func (m Model) canPark() bool {
	return m.job.Park != nil && m.state.Status() == run.Open && !m.began.IsZero()
}

// done marks the current step as done. While another step is looked at, nothing is marked: the key leads back first.
func (m Model) done() (Model, tea.Cmd) {
	if m.look > 0 {
		return m.lookAt(0), nil
	}
	if m.finished() {
		return m, nil
	}
	return m.record(run.Event{Kind: run.Done, Step: m.state.Current()})
}

func (m Model) back() (Model, tea.Cmd) {
	if m.look > 0 {
		return m.lookAt(0), nil
	}
	if !m.state.CanBack() {
		m.notice = notice{"this is the first step", theme.Quiet}
		return m, nil
	}
	return m.record(run.Event{Kind: run.Back, Step: m.state.Current()})
}

// lookAt shows a step without changing anything; the current step ends the looking.
func (m Model) lookAt(n int) Model {
	switch {
	case n > m.state.Steps() || n < 0:
		return m
	case n == 0 && m.look == 0:
		return m
	}
	m.look = n
	if n == m.state.Current() && m.state.Status() == run.Open {
		m.look = 0
	}
	m.refresh()
	return m
}

// record sends an event to the book; the state moves only when it has arrived.
func (m Model) record(e run.Event) (Model, tea.Cmd) {
	e.At = m.set.Now()
	m.pending = true
	recorder, elsewhere := m.job.Recorder, m.job.Elsewhere
	return m, func() tea.Msg {
		msg := recordedMsg{event: e, err: recorder.Record(e)}
		if elsewhere != nil {
			msg.elsewhere = elsewhere()
		}
		return msg
	}
}

func (m Model) recorded(msg recordedMsg) (Model, tea.Cmd) {
	m.pending = false
	m.briefly = m.elsewhere == msg.elsewhere
	m.elsewhere = msg.elsewhere
	next, err := m.state, msg.err
	if err == nil {
		next, err = m.state.Apply(msg.event)
	}
	if err != nil {
		m.notice = notice{"NOT SAVED, so not counted: " + err.Error(), theme.Danger}
	} else {
		m.state = next
		m.remember(msg.event)
		m.look = 0
		m.told(msg.event)
	}
	m.now = msg.event.At
	if m.began.IsZero() && err == nil {
		m.began = msg.event.At
	}
	m.refresh()
	boost := err == nil && m.mode == working && m.scene.face.boost != ""
	turned := m.turned()
	m, cmd := m.next()
	return m, tea.Batch(m.rung(boost), m.titled(), turned, cmd)
}

// next takes the keys that wait, up to one that sends an event on its way.
func (m Model) next() (Model, tea.Cmd) {
	var cmds []tea.Cmd
	for len(m.waiting) > 0 && !m.pending {
		s := m.waiting[0]
		m.waiting = m.waiting[1:]
		var cmd tea.Cmd
		if m, cmd = m.key(s); cmd != nil {
			cmds = append(cmds, cmd)
		}
	}
	return m, tea.Batch(cmds...)
}

// told says what was recorded where the screen does not show it by itself.
func (m *Model) told(e run.Event) {
	if !m.again() {
		m.lost = nil
	}
	switch e.Kind {
	case run.Note:
		m.notice = notice{"noted: " + e.Why, theme.OK}
	case run.Redo:
		m.notice = notice{"kept in the journal: " + e.Why, theme.Warn}
	case run.Mishap:
		m.notice = notice{e.Why + ": these steps put it right; ⌫ takes it back", theme.Warn}
	case run.Back:
		m.notice = notice{"one step back, kept in the journal", theme.Quiet}
	}
}
