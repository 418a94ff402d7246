package bench

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/progress"
	"pullcard/tui/bed"
	"pullcard/tui/ear"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// answer is what comes back from work that was sent away from the screen; it knows what becomes of the bench then.
type answer interface {
	to(m Model) (Model, tea.Cmd)
}

// Update takes a key or an answer.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return m.press(msg)
	case answer:
		return msg.to(m)
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
		return m.park()
	case key.Matches(msg, k.Leave):
		return m, screen.Leave
	}
	return m, nil
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
