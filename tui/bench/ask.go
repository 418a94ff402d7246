package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/progress"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// prompt empties the line in which text is typed.
func (m *Model) prompt(placeholder string) tea.Cmd {
	m.input.Placeholder = placeholder
	m.input.SetValue("")
	return m.input.Focus()
}

// take takes the text of a reason, a decision or a note.
func (m Model) take(msg tea.KeyMsg) (Model, tea.Cmd) {
	text := strings.TrimSpace(m.input.Value())
	confirm := key.Matches(msg, m.keys.Confirm)
	switch {
	case m.mode == asking && (key.Matches(msg, m.keys.Cancel) || text == "" && key.Matches(msg, m.keys.Done)): // a pedal types no words
		m.mode = working
		m.askWhy(m.why[1:])
	case m.mode == asking && confirm:
		return m.record(progress.Event{Kind: progress.Why, Step: m.state.Current(), Of: m.why[0], Why: text})
	case m.mode == deciding && key.Matches(msg, m.keys.Cancel):
		m.mode = choosing
	case m.mode == deciding && confirm && text == "":
	case m.mode == deciding && confirm:
		t := m.leave.Trouble
		t.Text = t.Words() + "; left so: " + text
		return m.mend(t)
	case key.Matches(msg, m.keys.Cancel), confirm && text == "":
		m.mode = m.waits()
	case confirm:
		return m.record(progress.Event{Kind: progress.Note, Step: m.state.Current(), Why: text})
	default:
		var cmd tea.Cmd
		msg.Runes = theme.Typed(msg.Runes)
		m.input, cmd = m.input.Update(msg)
		return m, cmd
	}
	return m, nil
}

// askWhy asks why some events happened, one after the other: at the foot, for the card above it is the next to be done. It may stay
// unanswered; what is done then ends the question.
func (m *Model) askWhy(numbers []int) {
	if m.why = numbers; len(numbers) > 0 {
		m.notice = screen.Notice{Text: m.whyTitle() + " · " + m.keys.Why.Help().Key + " says why, " + m.keys.Done.Help().Key + " goes on", Role: theme.Quiet}
	}
}

// whyTitle is the question that is asked now.
func (m Model) whyTitle() string {
	title := "Why? " + m.past.Events[m.why[0]-1].Told()
	if n := len(m.why) - 1; n > 0 { // two alike are asked one after the other
		title += fmt.Sprintf(" (%d more after this)", n)
	}
	return title
}

// cured are the numbers of the redos and mishaps whose cure ended with the last of some events and that nobody explained.
func cured(past progress.Journal) []int {
	events, asked := past.Events, 0 // so many events were over when it was asked last
	for i := 1; i < len(events); i++ {
		s := past.States[i]
		waits := slices.ContainsFunc(past.Stand, func(n int) bool { return n > asked && n <= i })
		if events[i-1].Kind == progress.Done && !curing(s) && !(waits && slackLeft(s)) {
			asked = i
		}
	}
	s, last := past.Now(), len(events)-1
	if len(past.Stand) == 0 || events[last].Kind != progress.Done || curing(s) || s.Status() == progress.Abandoned || slackLeft(s) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(past.Stand), func(n int) bool {
		return n <= asked || slices.ContainsFunc(events, func(e progress.Event) bool { return e.Kind == progress.Why && e.Of == n })
	})
}

// curing says whether what is in hand puts something right.
func curing(s progress.State) bool {
	return s.Status() == progress.Open && (s.Plan().Steps[s.Current()-1].Base == 0 || s.Redos(s.Current()) > 0)
}

// slackLeft says whether something that was tight is not pulled again yet, though what is in hand was planned so from the beginning.
func slackLeft(s progress.State) bool { return len(s.Racket().Loose()) > 0 }
