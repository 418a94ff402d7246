package bench

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/run"
	"pullcard/sequence/shop"
	"pullcard/tui/theme"
)

// kinds are the mishaps that the stringer chooses from, in the order in which they are shown, and how they are asked.
func kinds() []struct {
	fault    plan.Mishap
	ask, say string
} {
	return []struct {
		fault    plan.Mishap
		ask, say string
	}{
		{plan.FaultWeave, "a cross is woven wrong", "Which cross?"},
		{plan.FaultLate, "a pull slipped, found late", "Which pull?"},
		{plan.FaultHole, "string in a wrong hole", "Which strand?"},
		{plan.FaultBreak, "string broke", "Which string?"},
		{plan.FaultKnot, "a knot slipped, a tail too short", "Which knot?"},
		{plan.FaultSplit, "a tie-off hole is split", "Which hole?"},
		{plan.FaultFrame, "the frame is cracked: stop", "Cut out and close the job?"},
	}
}

// mishaps is the question what went wrong: first the kind, then what it happened to.
type mishaps struct {
	all  []sequence.Trouble
	kind plan.Mishap // empty while the kind is asked
	at   int
}

// kindsNow are the kinds that there is something to choose of.
func (q mishaps) kindsNow() (faults []plan.Mishap, asks []string) {
	for _, k := range kinds() {
		for _, t := range q.all {
			if t.Fault == k.fault {
				faults, asks = append(faults, k.fault), append(asks, k.ask)
				break
			}
		}
	}
	return faults, asks
}

// choices are what the chosen kind can have happened to, the newest first.
func (q mishaps) choices() (out []sequence.Trouble) {
	for _, t := range q.all {
		if t.Fault == q.kind {
			out = append(out, t)
		}
	}
	return out
}

func (q mishaps) count() int {
	if q.kind == "" {
		faults, _ := q.kindsNow()
		return len(faults)
	}
	return len(q.choices())
}

// wrong opens the question what went wrong.
func (m Model) wrong() (Model, tea.Cmd) {
	if m.state.Detour() {
		m.notice = notice{"first finish what is done again", theme.Warn}
		return m, nil
	}
	m.look, m.mode = 0, troubled
	m.mishap = mishaps{all: sequence.Troubles(m.state.Plan(), m.state.Last())}
	m.refresh()
	return m, nil
}

// trouble takes the choice of what went wrong.
func (m Model) trouble(msg tea.KeyMsg) (Model, tea.Cmd) {
	if key.Matches(msg, m.keys.Cancel) {
		m.mode = working
		return m, nil
	}
	if m.pick(msg, &m.mishap.at, m.mishap.count()) {
		return m.chosen()
	}
	return m, nil
}

// chosen goes on to what it happened to, or has the way back worked out.
func (m Model) chosen() (Model, tea.Cmd) {
	q := &m.mishap
	if q.kind == "" {
		faults, _ := q.kindsNow()
		q.kind, q.at = faults[q.at], 0
		if len(q.choices()) > 1 || q.kind == plan.FaultFrame {
			return m, nil
		}
	}
	t := q.choices()[q.at]
	e := run.Event{Kind: run.Mishap, At: m.set.Now(), Step: m.state.Current(), What: string(t.Fault), Why: t.Words()}
	p, done, keep := m.state.Plan(), m.state.Last(), m.keeping
	return m, m.write.send(func() tea.Msg {
		next, err := shop.Mend(p, done, t)
		if err != nil {
			return noWayMsg{err}
		}
		e.Plan = next
		return keep(e)
	})
}

// noWayMsg says that no way back was found.
type noWayMsg struct{ err error }

func (m Model) noWay(msg noWayMsg) (Model, tea.Cmd) {
	leaving := m.write.leaving
	m.write, m.mode, m.notice = write{}, working, notice{msg.err.Error(), theme.Danger}
	if leaving {
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m, nil
}

func (m Model) troubleCard(height int) []string {
	q := m.mishap
	title, lines := "What went wrong?", []string(nil)
	if q.kind == "" {
		_, lines = q.kindsNow()
	} else {
		for _, k := range kinds() {
			if k.fault == q.kind {
				title = k.say
			}
		}
		for _, t := range q.choices() {
			lines = append(lines, t.Words())
		}
	}
	out := []string{"", m.style(theme.Title, title), ""}
	room := max(height-len(out)-2, 3)
	top := max(min(q.at-room/2, len(lines)-room), 0)
	for i := top; i < min(top+room, len(lines)); i++ {
		mark, role := "  ", theme.Text
		if i == q.at {
			mark, role = "▶ ", theme.Current
		}
		number := " "
		if i < 9 {
			number = fmt.Sprint(i + 1)
		}
		out = append(out, m.style(role, mark+number+"  "+lines[i]))
	}
	more := ""
	if below := len(lines) - top - room; below > 0 {
		more = m.style(theme.Quiet, fmt.Sprintf("     ↓ %d more", below))
	}
	return append(out, more, m.style(theme.Quiet, "what is in the gripper counts as not done"))
}
