package bench

import (
	"context"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/progress"
	"pullcard/sequence/report"
	"pullcard/tui/bed"
	"pullcard/tui/ear"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
	"pullcard/tui/told"
)

// answer is what comes back from work that was sent away from the screen; it knows what becomes of the bench then.
type answer interface {
	to(m Model) (Model, tea.Cmd)
}

// Update takes a key or an answer.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	before := m.hears()
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case tea.KeyMsg:
		before.notice = "" // what a key is told is said as often as it is pressed
		m, cmd = m.press(msg)
	case answer:
		m, cmd = msg.to(m)
	case screen.StirMsg, screen.BackMsg:
		cmd = m.stirred
	case screen.Notice:
		m.notice = msg
	}
	if said := m.since(before); said != nil {
		cmd = tea.Batch(cmd, said)
	}
	return m, cmd
}

// confirming is within what time enter straight after a figure that gave an answer belongs to that: hands that need it in a long list press it in a
// short one too.
const confirming = 2 * time.Second

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
	m.notice, m.chosen = screen.Notice{}, ""
	since := m.set.Now().Sub(m.figure)
	m.figure = time.Time{}
	if msg.String() == "enter" && since < confirming {
		m.notice = screen.Notice{Text: "the number was enough; this enter marks nothing", Role: theme.Quiet}
		return m, nil
	}
	if (m.mode == resuming || m.mode == choosing) && key.Matches(msg, m.keys.Far) {
		m.far = !m.far
		return m, nil
	}
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
		n, begun := msg.String(), m.asked[len(m.asked)-1].typed != "" // of a number both figures may be the same
		return !key.Matches(msg, k.Up, k.Down) && !(begun && len(n) == 1 && n >= "0" && n <= "9")
	}
	return !key.Matches(msg, k.Earlier, k.Later)
}

// Small says whether the terminal is too small to show more than that.
func (m Model) Small() bool { return m.width < MinWidth || m.height < MinHeight }

func (m Model) work(msg tea.KeyMsg) (Model, tea.Cmd) {
	switch k := m.keys; {
	case key.Matches(msg, k.Done):
		return m.done()
	case m.scene.pressed.Felt && m.look == 0 && (msg.String() == "1" || msg.String() == "2"):
		return m.felt(msg)
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
	case m.finished() && key.Matches(msg, k.Slip, k.Wrong):
		m.notice = screen.Notice{Text: k.Back.Help().Key + " leads back to the last step; there " + msg.String() + " tells what went wrong", Role: theme.Warn}
	case key.Matches(msg, k.Note):
		m.mode = noting
		return m, m.prompt("what is worth keeping")
	case key.Matches(msg, k.Why) && len(m.why) > 0:
		m.mode = asking
		return m, m.prompt("enter or space alone will do")
	case key.Matches(msg, k.Numbers) && m.job.Numbers != nil:
		work, p := m.job.Numbers, m.state.Plan()
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(bed.New(work(p), m.set.Theme, m.set.ASCII)), nil })
	case key.Matches(msg, k.Tap) && m.canTap():
		tap := ear.New(strings.TrimSpace(m.job.Player+" "+m.job.Racket), *m.job.Tap, m.set.Theme, m.set.ASCII)
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(tap), nil })
	case key.Matches(msg, k.Journal) && m.finished():
		all := m.journal()
		j := told.Sheet{Title: "JOURNAL", Text: "What went otherwise than planned, what was noted, and what lasts of it.",
			Tell: func(context.Context, int) ([]report.Section, error) { return all, nil }}
		return m, screen.Open(func() (screen.Screen, error) { return screen.Of(told.New(j, m.set.Theme, m.set.ASCII)), nil })
	case key.Matches(msg, k.Turn):
		m.view = m.view.Next()
		m.notice = screen.Notice{Text: "the picture: " + m.view.String(), Role: theme.Quiet}
		m.refresh()
	case key.Matches(msg, k.Mirror):
		m.view.Mirror = !m.view.Mirror
		m.notice = screen.Notice{Text: "the picture: " + m.view.String(), Role: theme.Quiet}
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
	default: // a key of the house's own, as that of a pedal, goes before
		for _, a := range m.after() {
			if key.Matches(msg, a.Key) {
				return m, a.Do
			}
		}
	}
	return m, nil
}

// after are the keys of the last screen.
func (m Model) after() []After {
	if !m.finished() || m.state.Status() != progress.Finished {
		return nil
	}
	return m.job.After
}

// done marks the current step as done. While another step is looked at, nothing is marked: the key leads back first.
func (m Model) done() (Model, tea.Cmd) {
	if m.look > 0 {
		return m.lookAt(0), nil
	}
	if m.finished() {
		return m, nil
	}
	if m.scene.pressed.Felt {
		m.notice = screen.Notice{Text: feelFirst, Role: theme.Warn}
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
	if q := m.moment().Back(); len(q.Answers) > 0 && !m.again() {
		m.asked = nil
		return m.ask(q), nil
	}
	return m.retract()
}

// retract takes the last step back.
func (m Model) retract() (Model, tea.Cmd) {
	back := progress.Event{Kind: progress.Back, Step: m.state.Current()}
	if n := m.state.Last(); m.again() && n > 0 {
		if next, err := m.state.Apply(back); err == nil && next.Last() == n-1 && next.Plan() == m.state.Plan() {
			// Back goes over the step before as well: that is done, so it is reported again, and all that is done again but the last.
			on := []progress.Event{{Kind: progress.Done, Step: n}}
			for range m.state.Redos(m.state.Current()) - 1 {
				on = append(on, progress.Event{Kind: progress.Redo, Step: m.state.Current(), What: progress.Gripper})
			}
			m.then = func(m Model) (Model, tea.Cmd) { return m.follow(on...) }
		}
	}
	return m.record(back)
}

// follow reports events one after the other, each once the one before is in the book.
func (m Model) follow(events ...progress.Event) (Model, tea.Cmd) {
	if len(events) == 0 {
		m.notice = screen.Notice{Text: "taken back", Role: theme.Quiet}
		return m, nil
	}
	m.then = func(m Model) (Model, tea.Cmd) { return m.follow(events[1:]...) }
	return m.record(events[0])
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
