package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/plan"
	"pullcard/sequence/run"
	"pullcard/tui/theme"
)

// resume takes the answer whether things stand as they were left. No is: the last pull may have been in the gripper
// only, so it is done again.
func (m Model) resume(msg tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Confirm):
		return m.record(run.Event{Kind: run.Resume, Step: m.state.Current(), Why: "clamps stand as shown"})
	case key.Matches(msg, m.keys.Again) && len(m.slips) > 0:
		m.mode, m.choice = slipping, 0 // which does not hold?
		return m, nil
	case key.Matches(msg, m.keys.Again) && m.state.Last() > 0:
		return m.record(run.Event{Kind: run.Redo, Step: m.state.Last(), Why: "not as it should be when the work was left"})
	case key.Matches(msg, m.keys.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m, nil
}

// doubtful is what may not hold after an interruption: the last pull, if it was only in the gripper, and each clamp.
func (m Model) doubtful() []run.Slip {
	var out []run.Slip
	if last := m.state.Last(); last > 0 && !m.state.Detour() {
		if pull := m.state.Plan().Steps[last-1].Pull(); pull != nil {
			out = append(out, run.Slip{What: run.Gripper, Strand: pull.Strand, Hole: pull.Hole, Step: last})
		}
	}
	for _, s := range run.Slips(m.state) {
		if s.What != run.Gripper || m.state.Detour() {
			out = append(out, s)
		}
	}
	return out
}

// slip takes the choice of what slipped.
func (m Model) slip(msg tea.KeyMsg) (Model, tea.Cmd) {
	if key.Matches(msg, m.keys.Cancel) {
		m.mode = m.waits()
		return m, nil
	}
	if m.pick(msg, &m.choice, len(m.slips)) {
		if m.waits() == resuming {
			return m.slipped("when the work was left")
		}
		return m.ask()
	}
	return m, nil
}

// waits is what is asked when a question is left unanswered: a racket that was left waits for its confirmation.
func (m Model) waits() mode {
	if len(m.job.Events) > 0 && len(m.events) == len(m.job.Events) && m.state.Status() == run.Open {
		return resuming
	}
	return working
}

// pick moves a choice among n things by arrows, and says whether a key has made it: enter, or the thing's number.
func (m Model) pick(msg tea.KeyMsg, at *int, n int) bool {
	switch {
	case key.Matches(msg, m.keys.Up):
		*at = (*at + n - 1) % n
	case key.Matches(msg, m.keys.Down):
		*at = (*at + 1) % n
	case key.Matches(msg, m.keys.Done):
		return true
	default:
		if name := msg.String(); len(name) == 1 && name >= "1" && name <= "9" && int(name[0]-'1') < n {
			*at = int(name[0] - '1')
			return true
		}
	}
	return false
}

// ask asks why the chosen thing slipped.
func (m Model) ask() (Model, tea.Cmd) {
	m.mode = asking
	m.input.Placeholder = "why? enter alone will do"
	m.input.SetValue("")
	return m, m.input.Focus()
}

// take takes the text of a reason or a note.
func (m Model) take(msg tea.KeyMsg) (Model, tea.Cmd) {
	text := strings.TrimSpace(m.input.Value())
	switch {
	case key.Matches(msg, m.keys.Cancel):
		m.mode = m.waits()
	case m.mode == asking && (key.Matches(msg, m.keys.Confirm) || text == "" && key.Matches(msg, m.keys.Done)): // a pedal types no words
		return m.slipped(text)
	case key.Matches(msg, m.keys.Confirm):
		if text == "" {
			m.mode = working
			return m, nil
		}
		return m.record(run.Event{Kind: run.Note, Step: m.state.Current(), Why: text})
	default:
		var cmd tea.Cmd
		msg.Runes = theme.Typed(msg.Runes)
		m.input, cmd = m.input.Update(msg)
		return m, cmd
	}
	return m, nil
}

// slipped records the slip that was chosen, with the stringer's reason, which may be empty.
func (m Model) slipped(reason string) (Model, tea.Cmd) {
	s := m.slips[m.choice]
	why := slipWords(s)
	if reason != "" {
		why += ": " + reason
	}
	return m.record(run.Event{Kind: run.Redo, Step: s.Step, What: s.What, Why: why})
}

// slack are the strands that lose their tension by a slip.
func (m Model) slack(what string) []plan.Strand {
	if what == run.Gripper {
		return nil
	}
	return m.state.Plan().After(m.state.Last()).Behind(plan.Clamp(what))
}

// slackWords names them, "slack until then: C4, C3, C2".
func slackWords(lost []plan.Strand) string {
	words := make([]string, len(lost))
	for i, s := range lost {
		words[i] = string(s)
	}
	return "slack until then: " + strings.Join(words, ", ")
}

func slipWords(s run.Slip) string {
	if s.What == run.Gripper {
		return fmt.Sprintf("the gripper slipped on %s at %s", s.Strand, s.Hole)
	}
	return fmt.Sprintf("clamp %s slipped on %s at %s", s.What, s.Strand, s.Hole)
}

// stands says in words where each clamp should stand after a step.
func stands(grips map[plan.Clamp]*plan.Grip) []string {
	var out []string
	for _, c := range plan.Clamps() {
		text := fmt.Sprintf("%s  free", c)
		if g := grips[c]; g != nil {
			text = fmt.Sprintf("%s  on %s at %s", c, g.Strand, g.Hole)
			if g.Outside {
				text += ", outside the frame"
			}
		}
		out = append(out, text)
	}
	return out
}
