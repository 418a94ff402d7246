package bench

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/shop"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// asked is a question and the answer that is marked.
type asked struct {
	cases.Question
	at int
}

// ask puts a question on the screen.
func (m Model) ask(q cases.Question) Model {
	m.mode, m.look = choosing, 0
	m.asked = append(m.asked[:len(m.asked):len(m.asked)], asked{Question: q})
	m.refresh()
	return m
}

// choose takes a key while a question is on the screen: arrows mark an answer, enter or its number gives it.
func (m Model) choose(msg tea.KeyMsg) (Model, tea.Cmd) {
	last := len(m.asked) - 1
	q := m.asked[last]
	n := len(q.Answers)
	switch name := msg.String(); {
	case key.Matches(msg, m.keys.Cancel):
		if m.asked = m.asked[:last]; last == 0 {
			m.mode = m.waits()
		}
		return m, nil
	case key.Matches(msg, m.keys.Slip, m.keys.Wrong): // the other list
		if m.waits() == working {
			m.mode = working
			return m.work(msg)
		}
	case key.Matches(msg, m.keys.Up):
		q.at = (q.at + n - 1) % n
	case key.Matches(msg, m.keys.Down):
		q.at = (q.at + 1) % n
	case key.Matches(msg, m.keys.Done):
		return m.answer(q.Answers[q.at])
	case len(name) == 1 && name >= "1" && name <= "9":
		for i := range q.Answers {
			if q.Number(i) == int(name[0]-'0') {
				return m.answer(q.Answers[i])
			}
		}
	}
	m.asked = append(m.asked[:last:last], q)
	return m, nil
}

// answer goes on to the next question or, when the case is known, has the way back worked out.
func (m Model) answer(a cases.Answer) (Model, tea.Cmd) {
	switch {
	case a.Tries:
		return m.meanwhile(func() tea.Msg { return askedMsg(a.Next()) })
	case a.Next != nil:
		return m.next(a.Next())
	case a.Words != "":
		m.mode, m.leave = deciding, a
		return m, m.prompt(a.Words)
	case a.Back:
		if next, err := m.state.Apply(progress.Event{Kind: progress.Back, Step: m.state.Current()}); err != nil || next.Last() != m.state.Last()-1 {
			m.mode = m.waits()
			return m, nil
		}
		m.then = func(m Model) (Model, tea.Cmd) {
			a.Back = false
			return m.answer(a)
		}
		return m.record(progress.Event{Kind: progress.Back, Step: m.state.Current()})
	case a.Again:
		return m.record(progress.Event{Kind: progress.Redo, Step: m.state.Current(), What: progress.Gripper})
	}
	return m.mend(a.Trouble)
}

// mendedMsg brings the way back from a mishap, or says why there is none.
type mendedMsg struct {
	trouble sequence.Trouble
	plan    *plan.Plan
	err     error
}

// mend has the way back made and proven while the screen goes on.
func (m Model) mend(t sequence.Trouble) (Model, tea.Cmd) {
	p, done := m.state.Plan(), m.state.Last()
	return m.meanwhile(func() tea.Msg {
		next, err := shop.Mend(p, done, t)
		return mendedMsg{t, next, err}
	})
}

// meanwhile has something worked out about a way back; until it has come no key marks or answers anything.
func (m Model) meanwhile(do func() tea.Msg) (Model, tea.Cmd) {
	cmd := m.write.send(do)
	m.write.mending = true
	return m, cmd
}

// askedMsg brings a question for which ways back had to be tried.
type askedMsg cases.Question

func (msg askedMsg) to(m Model) (Model, tea.Cmd) {
	if m.write.arrived() {
		return m, screen.Leave
	}
	return m.next(cases.Question(msg))
}

// next asks a question, unless there is nothing to choose.
func (m Model) next(q cases.Question) (Model, tea.Cmd) {
	if only, ok := q.Only(); ok {
		return m.answer(only)
	}
	return m.ask(q), nil
}

// to records what happened with the way back from it.
func (msg mendedMsg) to(m Model) (Model, tea.Cmd) {
	leaving := m.write.arrived()
	if msg.err != nil {
		m.write.fails(msg.err.Error(), m.set.Now())
		return m, nil
	}
	e := progress.Event{Kind: progress.Mishap, Step: m.state.Current(), What: string(msg.trouble.Fault), Why: msg.trouble.Words(), Plan: msg.plan}
	switch msg.trouble.Fault {
	case plan.FaultClamp:
		e.Kind, e.What, e.Why = progress.Redo, string(msg.trouble.Clamp), ""
	case plan.FaultGripper:
		e.Kind, e.What, e.Why = progress.Redo, progress.Gripper, ""
	}
	m, cmd := m.record(e)
	m.write.leaving = leaving
	return m, cmd
}

// questionCard is the question that is asked, its answers as many as there is room for; an answer is never cut off.
func (m Model) questionCard(width, height int) []string {
	q := m.asked[len(m.asked)-1]
	head := wrapAll([]string{"", m.style(theme.Title, q.Ask)}, width)
	if q.Hint != "" {
		head = append(head, wrapAll([]string{m.style(theme.Quiet, q.Hint)}, width)...)
	}
	head = append(head, "")
	lines, from, to := m.answers(q, width)
	room := max(height-len(head)-1, 3)
	top := max(min(from-(room-to+from)/2, len(lines)-room), 0)
	shown := lines[top:min(top+room, len(lines))]
	more := ""
	if len(lines) > top+len(shown) {
		more = m.style(theme.Quiet, "     ↓ more")
	}
	return append(append(head, shown...), more)
}

// answers are the lines of all answers, and where those of the marked one begin and end.
func (m Model) answers(q asked, width int) (lines []string, from, to int) {
	for i, a := range q.Answers {
		mark, role, number := "  ", theme.Text, " "
		if i == q.at {
			mark, role, from = "▶ ", theme.Current, len(lines)
		}
		if n := q.Number(i); n <= 9 {
			number = fmt.Sprint(n)
		}
		for j, line := range screen.Wrap(a.Say, max(width-5, 1)) {
			if j > 0 {
				mark, number = "  ", " "
			}
			lines = append(lines, m.style(role, mark+number+"  "+line))
		}
		if i == q.at {
			to = len(lines)
		}
	}
	return lines, from, to
}
