package bench

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

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

// asked is a question and the answer that is marked, with what is typed of a number to which a further figure may belong.
type asked struct {
	cases.Question
	at    int
	typed string
}

// none is marked of the answers to what hands find out, before somebody chose one: a key pressed out of habit answers nothing.
const none = -1

const (
	feelFirst   = "feel it first, then press its number"
	numberFirst = "press its number, or ↑ ↓"
)

// page is how many answers further a page of a list leads.
const page = 8

// number takes a figure: it marks the answer of that number, and says whether that is the one, for no number goes on so. Of a case that
// cannot be it says why.
func (q *asked) number(figure string) (given bool, never string) {
	wide := len(strconv.Itoa(q.Last()))
	for _, text := range []string{q.typed + figure, figure} {
		n, _ := strconv.Atoi(text)
		if n == 0 && len(text) < max(wide, 2) { // in a long list each number has as many figures as the last; this is none yet
			q.typed, q.at = text, none
			return false, ""
		}
		if n < 1 || n > q.Last() {
			continue
		}
		q.typed = text
		last := len(text) == wide || !q.begins(n)
		for i := range q.Answers {
			if q.Number(i) == n {
				q.at = i
				return last, ""
			}
		}
		for _, c := range q.Impossible {
			if c.Number == n && last {
				q.typed = ""
				return false, fmt.Sprintf("%d, %s: not now, %s", n, c.Say, c.Why)
			}
		}
		return false, ""
	}
	return false, ""
}

// begins says whether a number is typed whole with enter only, for another figure may follow on it.
func (q *asked) begins(n int) bool { return n*10 <= q.Last() }

// wants is what to press where a key answered nothing.
func (q *asked) wants() string {
	if q.Felt {
		return feelFirst
	}
	return numberFirst
}

// felt asks what hands found where the step in hand has a strand pressed before a clamp comes off, and takes a key for an answer.
func (m Model) felt(msg tea.KeyMsg) (Model, tea.Cmd) {
	m.asked = nil
	return m.ask(m.scene.pressed).choose(msg)
}

// ask puts a question on the screen.
func (m Model) ask(q cases.Question) Model {
	m.mode, m.look = choosing, 0
	a := asked{Question: q}
	if q.Felt {
		a.at = none
	}
	m.asked = append(m.asked[:len(m.asked):len(m.asked)], a)
	m.refresh()
	return m
}

// choose takes a key while a question is on the screen: arrows mark an answer, enter or its number gives it.
func (m Model) choose(msg tea.KeyMsg) (Model, tea.Cmd) {
	last := len(m.asked) - 1
	q := m.asked[last]
	n := len(q.Answers)
	if name := msg.String(); len(name) == 1 && name >= "0" && name <= "9" {
		given, never := q.number(name)
		if given {
			q.typed = "" // whoever comes back to the list begins anew
		}
		if m.asked = append(m.asked[:last:last], q); given {
			m.figure = m.set.Now()
			return m.chooses(q)
		}
		if never != "" {
			m.notice = screen.Notice{Text: never, Role: theme.Warn}
		}
		return m, nil
	}
	typed := q.typed
	q.typed = ""
	switch {
	case key.Matches(msg, m.keys.Page, m.keys.Done) && msg.String() != " " && msg.String() != "enter": // a pedal answers nothing
		if n > page && !(q.Felt && q.at == none) {
			q.at = max(0, min(n-1, max(q.at, 0)+map[string]int{"pgdown": page, "pgup": -page}[msg.String()]))
			break
		}
		m.notice = screen.Notice{Text: q.wants(), Role: theme.Quiet}
	case key.Matches(msg, m.keys.Cancel, m.keys.Back):
		if m.asked = m.asked[:last]; last == 0 {
			m.mode = m.waits()
		}
		return m, nil
	case key.Matches(msg, m.keys.Slip, m.keys.Wrong): // the other list
		if m.waits() == working {
			m.mode = working
			return m.work(msg)
		}
	case m.set.Say != nil && key.Matches(msg, m.keys.Repeat):
		cmd := m.said()
		return m, cmd
	case key.Matches(msg, m.keys.Up):
		q.at = (max(q.at, 0) + n - 1) % n
	case key.Matches(msg, m.keys.Down):
		q.at = (q.at + 1) % n
	case key.Matches(msg, m.keys.Done):
		if q.at == none {
			m.notice = screen.Notice{Text: q.wants(), Role: theme.Warn}
			break
		}
		if n, _ := strconv.Atoi(typed); typed != "" && q.Number(q.at) != n {
			break // that number cannot be
		}
		return m.chooses(q)
	}
	m.asked = append(m.asked[:last:last], q)
	return m, nil
}

// chooses gives the answer that is marked, which a voice says again with what comes of it.
func (m Model) chooses(q asked) (Model, tea.Cmd) {
	if m.set.Say != nil {
		m.chosen = m.answerSaid(q, q.at)
	}
	return m.answer(q.Answers[q.at])
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
	case a.Retract:
		return m.retract()
	case a.Stays:
		m.mode, m.asked = m.waits(), nil
		m.notice = screen.Notice{Text: "nothing is taken back; " + m.tells() + " tell what else went wrong", Role: theme.Warn}
		return m, nil
	case a.Done:
		return m.record(progress.Event{Kind: progress.Done, Step: m.state.Current(), What: a.Found})
	case a.Undo:
		return m.untold()
	case a.Again:
		return m.record(progress.Event{Kind: progress.Redo, Step: m.state.Current(), What: progress.Gripper})
	}
	return m.mend(a.Trouble)
}

// tells are the keys that tell what slipped or went wrong.
func (m Model) tells() string { return m.keys.Slip.Help().Key + " and " + m.keys.Wrong.Help().Key }

// untold takes back what was told last to have gone wrong, with all that was done since.
func (m Model) untold() (Model, tea.Cmd) {
	var back []progress.Event
	for s, told := m.state, false; !told && s.CanBack(); {
		e := progress.Event{Kind: progress.Back, Step: s.Current()}
		before, err := s.Apply(e)
		if err != nil {
			break
		}
		if back = append(back, e); before.Plan() != s.Plan() {
			told = tellsMishap(&s.Plan().Steps[before.Last()])
		}
		s = before
	}
	return m.follow(back...)
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

// questionCard is the question that is asked, its answers as many as there is room for; an answer is never cut off. Where all of them have room
// the one that is marked stands below them in large letters too, or what hands can find.
func (m Model) questionCard(width, height int) []string {
	q := m.asked[len(m.asked)-1]
	lines, from, to := m.answers(q, width)
	head := append([]string{""}, m.hang("", theme.Title, q.Ask, width)...)
	if q.Hint != "" {
		head = append(head, m.hang("", theme.Quiet, q.Hint, width)...)
	}
	head = append(head, "")
	for _, rows := range figureRows() {
		set := inRows(strings.Fields(q.Large), width, rows)
		if large := m.figures(set, rows); set.wide(rows) <= width && len(large)+len(head)+len(lines) < height {
			head = slices.Concat([]string{""}, large, head[1:])
			break
		}
	}
	out := append(head, m.window(lines, from, to, max(height-len(head)-1, 3))...)
	for _, as := range waysToAnswer() {
		bands := m.farAnswers(q, as, width)
		if bands = grow(bands, width, height-len(out)); len(bands) > 0 {
			return append(out, m.spread(bands, 0)...)
		}
	}
	return out
}

// window is the part of a list that there is room for, with the lines from which to which are marked in it.
func (m Model) window(lines []string, from, to, room int) []string {
	top := max(min(from-(room-to+from)/2, len(lines)-room), 0)
	shown := lines[top:min(top+room, len(lines))]
	more := ""
	if len(lines) > top+len(shown) {
		more = m.style(theme.Quiet, "     ↓ more")
	}
	return append(slices.Clone(shown), more)
}

// answers are the lines of all answers, each with its number, and where those of the marked one begin and end; what cannot be stands
// quietly in its place.
func (m Model) answers(q asked, width int) (lines []string, from, to int) {
	wide := len(strconv.Itoa(q.Last()))
	add := func(mark string, role theme.Role, n int, text string) {
		number := fmt.Sprintf("%0*d", wide, n)
		for _, line := range screen.Wrap(text, max(width-4-wide, 1)) {
			lines = append(lines, m.style(role, mark+number+"  "+line))
			mark, number = "  ", strings.Repeat(" ", wide)
		}
	}
	for n := 1; n <= q.Last(); n++ {
		for _, c := range q.Impossible {
			if c.Number == n {
				add("  ", theme.Quiet, n, c.Say+" ("+c.Why+")")
			}
		}
		for i := range q.Answers {
			switch {
			case q.Number(i) != n:
			case i == q.at:
				from = len(lines)
				add("▶ ", theme.Current, n, q.Answers[i].Say)
				to = len(lines)
			default:
				add("  ", theme.Title, n, q.Answers[i].Say)
			}
		}
	}
	return lines, from, to
}
