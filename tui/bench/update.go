package bench

import (
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/progress"
	"pullcard/tui/bed"
	"pullcard/tui/ear"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return m.press(msg)
	case slowMsg:
		m.write.slow = true
		return m, func() tea.Msg { return <-msg.answer }
	case recordedMsg:
		return m.recorded(msg)
	case mendedMsg:
		return m.mended(msg)
	case askedMsg:
		return m.asks(msg)
	case tickMsg:
		before := m.bareFor()
		m.now = time.Time(msg)
		return m, tea.Batch(tick(), m.rung(before < bareNotice && m.bareFor() >= bareNotice || before < bareAlarm && m.bareFor() >= bareAlarm))
	case foreseenMsg:
		if msg.of == m.state.Plan() {
			m.foreseen = msg
		}
		return m, nil
	case turnedMsg:
		if msg.err != nil {
			m.write.fails("turned here, but not remembered: "+msg.err.Error(), m.set.Now())
		}
		return m, nil
	case parkedMsg:
		m.write.pending, m.write.slow = false, false
		if msg.err != nil {
			m.write.fails("not parked: "+msg.err.Error(), m.set.Now())
			return m, nil
		}
		return m, func() tea.Msg { return screen.LeaveMsg{Said: "parked; it waits where it was"} }
	}
	return m, nil
}

// press takes a key, once what is written is in the book and what failed was seen.
func (m Model) press(msg tea.KeyMsg) (Model, tea.Cmd) {
	leave := (m.write.pending || m.mode == working || m.mode == resuming) && key.Matches(msg, m.keys.Leave)
	switch {
	case m.write.pending && leave: // once it is known how it ended
		m.write.leaving = true
		return m, nil
	case (m.write.pending || m.write.failed != "") && !leave && !m.looks(msg):
		if key.Matches(msg, m.keys.Done, m.keys.Back, m.keys.Confirm, m.keys.Cancel) {
			m.write.seen(m.set.Now())
		}
		return m, nil
	}
	m.notice = screen.Notice{}
	switch m.mode {
	case resuming:
		return m.resume(msg)
	case choosing:
		return m.choose(msg)
	case asking, deciding, noting:
		return m.take(msg)
	case helping:
		m.mode = working
		return m, nil
	}
	return m.work(msg)
}

// looks says whether a key only looks around: nothing is marked or answered by it.
func (m Model) looks(msg tea.KeyMsg) bool {
	k := m.keys
	return m.mode == helping || m.mode == working && key.Matches(msg, k.Earlier, k.Later, k.Turn, k.Mirror, k.Repeat, k.Far, k.Help, k.Numbers)
}

// Typing says whether text is typed, so that it may be pasted too.
func (m Model) Typing() bool { return m.mode == asking || m.mode == deciding || m.mode == noting }

// Once says whether a key counts once however long it is held down: all but what is typed and what leads through steps
// and lists.
func (m Model) Once(msg tea.KeyMsg) bool {
	k := m.keys
	switch m.mode {
	case asking, deciding, noting:
		return key.Matches(msg, k.Confirm, k.Cancel) || m.input.Value() == "" && key.Matches(msg, k.Done)
	case choosing:
		return !key.Matches(msg, k.Up, k.Down)
	}
	return !key.Matches(msg, k.Earlier, k.Later)
}

// Small says whether the terminal is too small to show more than that.
func (m Model) Small() bool { return m.width < MinWidth || m.height < MinHeight }

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
	case key.Matches(msg, k.Slip) && m.scene.slips:
		m.asked = nil
		return m.ask(m.moment().Slipped()), nil
	case key.Matches(msg, k.Wrong) && m.state.Status() == progress.Open && m.state.Last() > 0:
		m.asked = nil
		return m.ask(m.moment().Wrong()), nil
	case key.Matches(msg, k.Note):
		m.mode = noting
		return m, m.prompt("what is worth keeping")
	case key.Matches(msg, k.Numbers) && m.job.Numbers != nil:
		work, p := m.job.Numbers, m.state.Plan()
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(bed.New(work(p), m.set.Theme, m.set.ASCII)), nil })
	case key.Matches(msg, k.Tap) && m.canTap():
		tap := ear.New(strings.TrimSpace(m.job.Player+" "+m.job.Racket), *m.job.Tap, m.set.Theme, m.set.ASCII)
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(tap), nil })
	case key.Matches(msg, k.Turn):
		m.view = m.view.Next()
		m.notice = screen.Notice{Text: "the picture: " + m.view.String(), Role: theme.Quiet}
		m.refresh()
	case key.Matches(msg, k.Mirror):
		m.view.Mirror = !m.view.Mirror
		m.refresh()
	case key.Matches(msg, k.Repeat) && m.set.Say != nil:
		cmd := m.said()
		return m, cmd
	case key.Matches(msg, k.Far):
		m.far = !m.far
	case key.Matches(msg, k.Help):
		m.mode = helping
	case key.Matches(msg, k.Park) && m.canPark():
		park := m.job.Park
		return m, m.write.send(func() tea.Msg { return parkedMsg{park()} })
	case key.Matches(msg, k.Leave):
		return m, screen.Leave
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
	return m.job.Park != nil && m.state.Status() == progress.Open && !m.began.IsZero()
}

// done marks the current step as done. While another step is looked at, nothing is marked: the key leads back first.
func (m Model) done() (Model, tea.Cmd) {
	if m.look > 0 {
		return m.lookAt(0), nil
	}
	if m.finished() {
		return m, nil
	}
	return m.record(progress.Event{Kind: progress.Done, Step: m.state.Current()})
}

func (m Model) back() (Model, tea.Cmd) {
	if m.look > 0 {
		return m.lookAt(0), nil
	}
	if !m.state.CanBack() {
		m.notice = screen.Notice{Text: "this is the first step", Role: theme.Quiet}
		return m, nil
	}
	return m.record(progress.Event{Kind: progress.Back, Step: m.state.Current()})
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
	if n == m.state.Current() && m.state.Status() == progress.Open {
		m.look = 0
	}
	m.refresh()
	return m
}

// record sends an event to the book; the state moves, and the question that it answers is over, only when it has arrived.
func (m Model) record(e progress.Event) (Model, tea.Cmd) {
	e.At = m.set.Now()
	keep := m.keeping
	return m, m.write.send(func() tea.Msg { return keep(e) })
}

// keeping records an event, away from the screen.
func (m Model) keeping(e progress.Event) tea.Msg {
	msg := recordedMsg{event: e, err: m.job.Recorder.Record(e)}
	if m.job.Elsewhere != nil {
		msg.elsewhere = m.job.Elsewhere()
	}
	return msg
}

func (m Model) recorded(msg recordedMsg) (Model, tea.Cmd) {
	leaving := m.write.leaving
	m.write = write{}
	m.briefly = m.elsewhere == msg.elsewhere
	m.elsewhere = msg.elsewhere
	next, err := m.state, msg.err
	if err == nil {
		next, err = m.state.Apply(msg.event)
	}
	if err != nil {
		m.write.fails("NOT SAVED, so not counted: "+err.Error(), m.set.Now())
		leaving = false
	} else {
		m.state = next
		m.remember(msg.event)
		m.look = 0
		if m.mode != helping {
			m.mode, m.asked = working, nil
		}
		m.told(msg.event)
	}
	m.now = msg.event.At
	if m.began.IsZero() && err == nil {
		m.began = msg.event.At
	}
	m.refresh()
	if err == nil {
		m.pulled(m.scene.racket)
	}
	cmds := []tea.Cmd{m.rung(err == nil && m.mode == working && m.scene.face.boost != ""), m.titled(), m.turned(), m.said(), m.foresee()}
	if leaving {
		return m, tea.Batch(append(cmds, screen.Leave)...)
	}
	m, cmd := m.onward(msg.event, err)
	return m, tea.Batch(append(cmds, cmd)...)
}

// onward does what follows on an event that was kept: what waited for it, or asking why after a cure.
func (m Model) onward(e progress.Event, err error) (Model, tea.Cmd) {
	then := m.then
	m.then = nil
	switch {
	case err != nil:
		return m, nil
	case then != nil:
		return then(m)
	case e.Kind == progress.Why:
		return m.askWhy(m.why[1:])
	case e.Kind == progress.Done:
		return m.askWhy(cured(m.job.Plan, m.events))
	}
	return m, nil
}

// told says what was recorded where the screen does not show it by itself.
func (m *Model) told(e progress.Event) {
	switch e.Kind {
	case progress.Note:
		m.notice = screen.Notice{Text: "noted: " + e.Why, Role: theme.OK}
	case progress.Redo, progress.Mishap:
		m.notice = screen.Notice{Text: m.happened(len(m.events)) + ": kept in the journal; ⌫ takes it back", Role: theme.Warn}
		if e.Plan == nil {
			m.notice.Text = m.happened(len(m.events)) + ": kept in the journal"
		}
	case progress.Back:
		m.notice = screen.Notice{Text: "one step back, kept in the journal", Role: theme.Quiet}
	}
}
