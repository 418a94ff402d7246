package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
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
		return m.askWhy(m.why[1:])
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

// askWhy asks why some events happened, one after the other.
func (m Model) askWhy(numbers []int) (Model, tea.Cmd) {
	m.why = numbers
	if len(numbers) == 0 {
		m.mode = working
		return m, nil
	}
	m.mode = asking
	return m, m.prompt("enter or space alone will do")
}

// cured are the numbers of the redos and mishaps whose cure ended with the last of some events and that nobody explained.
func cured(first *plan.Plan, events []progress.Event) (numbers []int) {
	s, err := progress.Fold(first, nil)
	if err != nil {
		return nil
	}
	for i, e := range events {
		if i > 0 && events[i-1].Kind == progress.Done && !curing(s) {
			numbers = nil // they were asked about then
		}
		before := s
		if s, err = s.Apply(e); err != nil {
			return nil
		}
		switch {
		case e.Kind == progress.Redo, e.Kind == progress.Mishap:
			numbers = append(numbers, i+1)
		case e.Kind == progress.Back && len(numbers) > 0 && before.Plan() != s.Plan():
			numbers = numbers[:len(numbers)-1]
		case e.Kind == progress.Why:
			numbers = slices.DeleteFunc(numbers, func(n int) bool { return n == e.Of })
		}
	}
	if last := len(events) - 1; last < 0 || events[last].Kind != progress.Done || curing(s) || s.Status() == progress.Abandoned {
		return nil
	}
	return numbers
}

// curing says whether what is in hand puts something right.
func curing(s progress.State) bool {
	return s.Status() == progress.Open && (s.Plan().Steps[s.Current()-1].Base == 0 || s.Redos(s.Current()) > 0)
}

// happened says what an event of a slip or mishap was.
func (m Model) happened(n int) string {
	e := m.events[n-1]
	switch {
	case e.Recorded():
		return e.Plan.Steps[e.Step-1].Title
	case e.What == progress.Gripper:
		return "the gripper slipped"
	case e.Why != "":
		return e.Why
	}
	return e.What
}

// slack are the strands that slipped and are not pulled again yet.
func (m Model) slack() (out []plan.Strand) {
	for _, s := range m.scene.racket.Spans() {
		if s.Slipped && !s.Tight {
			out = append(out, s.Strand)
		}
	}
	return out
}

// stands says in words where each clamp stands.
func stands(r *plan.Racket) []string {
	var out []string
	for _, c := range plan.Clamps() {
		text := fmt.Sprintf("%s  free", c)
		if g := r.Grip(c); g != nil {
			text = fmt.Sprintf("%s  on %s at %s", c, g.Strand, g.Hole)
			if g.Outside {
				text += ", outside the frame"
			}
		}
		out = append(out, text)
	}
	return out
}
