package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/plan"
	"pullcard/sequence/run"
)

// resume takes the answer whether things stand as they were left. No is: the last pull may have been in the gripper
// only, so it is done again.
func (m Model) resume(msg tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Confirm):
		m.mode = working
		return m.record(run.Event{Kind: run.Resume, Step: m.state.Current(), Why: "clamps stand as shown"})
	case key.Matches(msg, m.keys.Again) && m.state.Last() > 0:
		m.mode = working
		return m.record(run.Event{Kind: run.Redo, Step: m.doubtful(), What: run.Gripper, Why: "not clamped when the work was left"})
	case key.Matches(msg, m.keys.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m, nil
}

// doubtful is the step that is done again when the last pull was not clamped: the one being done again already, or the
// last one done.
func (m Model) doubtful() int {
	if m.state.Detour() {
		return m.state.Current()
	}
	return m.state.Last()
}

// slip takes the choice of what slipped.
func (m Model) slip(msg tea.KeyMsg) (Model, tea.Cmd) {
	if key.Matches(msg, m.keys.Cancel) {
		m.mode = working
		return m, nil
	}
	if m.pick(msg, &m.choice, len(m.slips)) {
		return m.ask()
	}
	return m, nil
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

// write takes the text of a reason or a note.
func (m Model) write(msg tea.KeyMsg) (Model, tea.Cmd) {
	text := strings.TrimSpace(m.input.Value())
	switch {
	case key.Matches(msg, m.keys.Cancel):
		m.mode = working
	case key.Matches(msg, m.keys.Confirm) && m.mode == asking:
		m.mode = working
		s := m.slips[m.choice]
		m.lost = m.slack(s)
		why := slipWords(s)
		if text != "" {
			why += ": " + text
		}
		return m.record(run.Event{Kind: run.Redo, Step: s.Step, What: s.What, Why: why})
	case key.Matches(msg, m.keys.Confirm):
		m.mode = working
		if text == "" {
			return m, nil
		}
		return m.record(run.Event{Kind: run.Note, Step: m.state.Current(), Why: text})
	default:
		var cmd tea.Cmd
		m.input, cmd = m.input.Update(msg)
		return m, cmd
	}
	return m, nil
}

// slack are the strands that lose their tension by a slip.
func (m Model) slack(s run.Slip) []plan.Strand {
	if s.What == run.Gripper {
		return nil
	}
	return m.state.Plan().Lost(m.state.Last(), plan.Clamp(s.What))
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
