package browse

import (
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

func (m Model) pressForm(k tea.KeyMsg) (Model, tea.Cmd) {
	f := &m.form
	if f.sent {
		return m, nil
	}
	if len(f.ahead) > 0 && !key.Matches(k, m.keys.Back) {
		f.ahead = append(f.ahead, k)
		return m, nil
	}
	leaving := f.leaving
	f.leaving, f.ahead, f.fresh = false, nil, false
	r := f.rows[f.at]
	switch {
	case key.Matches(k, m.keys.Back):
		return m.cancel(leaving)
	case key.Matches(k, m.keys.Keep):
		return m.keep()
	case key.Matches(k, m.keys.Next):
		return m.move(1)
	case key.Matches(k, m.keys.Previous):
		return m.move(-1)
	case key.Matches(k, m.keys.Open):
		return m.enterField()
	case key.Matches(k, m.keys.Up):
		return m.upDown(-1)
	case key.Matches(k, m.keys.Down):
		return m.upDown(1)
	case r.picks():
		return m.choose(k), nil
	case r.refers() && r.uid != "":
		return m.unpick(k)
	}
	return m.typeIn(k)
}

// cancel leaves the form; when something was typed only at the second time.
func (m Model) cancel(again bool) (Model, tea.Cmd) {
	if m.form.typed && !again {
		m.form.leaving = true
		return m.say(theme.Warn, "esc once more throws away what was typed; any other key goes on"), nil
	}
	if m.form.from == outside {
		return m, screen.Leave
	}
	m.at = m.form.from
	return m, nil
}

// move goes to another row.
func (m Model) move(by int) (Model, tea.Cmd) {
	m = m.check()
	m.form.at = min(max(m.form.at+by, 0), len(m.form.rows)-1)
	return m.enterRow()
}

// upDown goes to another match while matches are shown, and otherwise to another row.
func (m Model) upDown(by int) (Model, tea.Cmd) {
	f := &m.form
	if f.chosen < 0 {
		return m.move(by)
	}
	f.chosen = min(max(f.chosen+by, 0), len(f.matches)-1)
	return m, nil
}

// last says whether the last row is in hand.
func (f form) last() bool { return f.at == len(f.rows)-1 }

// enterField takes the match that is chosen or goes on; on the last row the record is kept.
func (m Model) enterField() (Model, tea.Cmd) {
	f := &m.form
	r := &f.rows[f.at]
	switch {
	case r.seeks() && f.chosen >= 0 && f.found:
		last := f.last()
		m, cmd := m.pick(f.matches[f.chosen])
		if last {
			return m.keep()
		}
		return m, cmd
	case r.seeks() && r.text != "" && !f.found:
		f.ahead = []tea.KeyMsg{{Type: tea.KeyEnter}} // the answer is on its way
		return m, nil
	case r.open() && r.text != "":
		return m, nil // nothing has these letters, which is said below
	case f.last():
		return m.keep()
	}
	m = m.check()
	if m.form.rows[m.form.at].wrong != "" {
		return m, nil
	}
	return m.move(1)
}

// choose picks one of the choices by arrow or by its letters: a word goes on as it is typed, and its first letter again leads to the next
// that begins so.
func (m Model) choose(k tea.KeyMsg) Model {
	f := &m.form
	r := &f.rows[f.at]
	choices := r.field.Choices
	if !r.field.Needed {
		choices = append([]string{""}, choices...)
	}
	at, n := slices.Index(choices, r.text), len(choices)
	switch {
	case k.Type == tea.KeyRunes, k.Type == tea.KeySpace && f.spelled != "":
		at, f.spelled = meant(choices, at, f.spelled, strings.ToLower(string(k.Runes)))
	case k.Type == tea.KeyRight:
		at = (at + 1) % n
	case k.Type == tea.KeyLeft:
		at = (max(at, 0) + n - 1) % n
	case key.Matches(k, m.keys.Erase), k.Type == tea.KeyDelete:
		at = -1
	default:
		return m
	}
	if k.Type != tea.KeyRunes && k.Type != tea.KeySpace {
		f.spelled = ""
	}
	text := ""
	if at >= 0 {
		text = choices[at]
	}
	if text != r.text {
		r.text, r.wrong, f.typed = text, "", true
	}
	return m
}

// meant is the choice that begins with what was spelled and a letter more, the one there is where it does. A letter that goes on with
// none begins a new word; in the middle of one it counts only where another choice begins with it than the one there is.
func meant(choices []string, at int, spelled, letter string) (int, string) {
	if text := spelled + letter; spelled != "" {
		if at >= 0 && strings.HasPrefix(choices[at], text) {
			return at, text
		}
		if i := slices.IndexFunc(choices, func(c string) bool { return strings.HasPrefix(c, text) }); i >= 0 {
			return i, text
		}
		if utf8.RuneCountInString(spelled) > 1 && strings.HasPrefix(spelled, letter) {
			return at, spelled
		}
	}
	for i := range choices {
		next := (max(at, -1) + 1 + i) % len(choices)
		if choices[next] != "" && strings.HasPrefix(choices[next], letter) {
			return next, letter
		}
	}
	return at, spelled
}

// unpick takes the picked record out of the row in hand; what is typed seeks another one.
func (m Model) unpick(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case k.Type == tea.KeyRunes, k.Type == tea.KeySpace:
	case key.Matches(k, m.keys.Erase), k.Type == tea.KeyDelete, k.Type == tea.KeyCtrlU, k.Type == tea.KeyCtrlW:
		k = tea.KeyMsg{}
	default:
		return m, nil
	}
	f := &m.form
	r := &f.rows[f.at]
	r.uid, r.text, f.typed = "", "", true
	f.input.SetValue("")
	if k.Type == tea.KeyRunes && len(k.Runes) > 0 {
		return m.typeIn(k)
	}
	return m.seekMatches()
}

// typeIn gives a key to the line that is typed in.
func (m Model) typeIn(k tea.KeyMsg) (Model, tea.Cmd) {
	f := &m.form
	before := f.input.Value()
	k.Runes = theme.Typed(k.Runes)
	f.input, _ = f.input.Update(k)
	text := f.input.Value()
	if text == before {
		return m, nil
	}
	r := &f.rows[f.at]
	r.text, r.wrong, f.typed = text, "", true
	if r.refers() || r.names() {
		return m.seekMatches()
	}
	return m, nil
}

func (m Model) formKeys() []key.Binding {
	f := m.form
	r := f.rows[f.at]
	enter := named(m.keys.Open, "next")
	switch {
	case r.seeks() && f.chosen >= 0:
		enter = named(m.keys.Open, "take")
	case f.last():
		enter = named(m.keys.Open, "keep")
	}
	keys := []key.Binding{enter}
	switch {
	case r.picks():
		keys = append(keys, named(m.keys.Right, "choose"))
	case f.chosen >= 0:
		keys = append(keys, named(m.keys.Down, "pick"), m.keys.Next)
	}
	if f.chosen < 0 {
		keys = append(keys, named(m.keys.Down, "move"))
	}
	return append(keys, m.keys.Keep, named(m.keys.Back, "leave"))
}
