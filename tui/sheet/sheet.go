// Package sheet is the screen on which a technique sheet is edited: a form with each of its settings, and the racket strung by it, what
// there is to do and what is otherwise than before or than by another sheet, as they change while one types.
//
// Call New with a Trial of the shop.
package sheet

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/shop"
	"pullcard/tui/draw"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// KeyMap is what the keys of the form do; all others are typed.
type KeyMap struct{ Next, Up, Down, Change, Frame, Against, Page, Save, Cancel key.Binding }

// The pages: the form, the picture alone, and in words what is otherwise.
const (
	onForm = iota
	onPicture
	onWords
	pages
)

// Model is the screen.
type Model struct {
	screen.Look
	trial shop.Trial
	view  draw.View
	ink   draw.Palette
	keys  KeyMap

	text    []byte // of the sheet as it is typed
	base    []byte // the text when the row in hand was come to
	name    string // under which it is kept
	why     string
	clauses []sequence.Clause // of the last text that means something
	wrong   map[string][]string
	other   []string // what is wrong beyond the rows
	at      int      // the row in hand: the clauses, then name or why, then the row that keeps it
	input   screen.Typed
	on, vs  int // which frame, and which sheet it is held against
	page    int
	top     int // of the words
	leaving bool

	seq   int // numbers the tries, so that late answers are known
	tried shop.Tried
	scene draw.Scene
	drawn bool
	said  string // why it cannot be strung so
}

// triedMsg is what came of a try, keptMsg of keeping the sheet.
type triedMsg struct {
	seq   int
	tried shop.Tried
	err   error
}
type keptMsg struct{ err error }

// New is the form of a sheet; Init tries it. The sheet must be one that can be read.
func New(t shop.Trial, th theme.Theme, ascii bool, v draw.View) Model {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	m := Model{Look: screen.Look{ASCII: ascii}, trial: t, view: v, text: t.Text, base: t.Text, name: t.Name, input: screen.NewTyped()}
	m.keys = KeyMap{
		Next: bind("enter", "next", "enter"), Up: bind(m.Sign("↑", "up"), "up", "up", "shift+tab"), Down: bind(m.Sign("↑↓", "up/down"), "move", "down", "tab"),
		Change: bind(m.Sign("→", "right"), "another word", "right"), Frame: bind("ctrl+f", "other frame", "ctrl+f"), Against: bind("ctrl+a", "against another", "ctrl+a"),
		Page: bind("ctrl+p", "picture, words", "ctrl+p"), Save: bind("ctrl+s", "keep", "ctrl+s"), Cancel: bind("esc", "leave", "esc"),
	}
	m.keys.Frame.SetEnabled(len(t.On) > 1)
	m = m.SetTheme(th).read()
	m.at = 1 // the name of the sheet seldom changes
	return m.fill()
}

// Init tries the sheet.
func (m Model) Init() tea.Cmd { return m.try() }

func (m Model) try() tea.Cmd {
	seq, try, text, on, beside := m.seq, m.trial.Try, m.text, m.trial.On[m.on], m.trial.Beside[m.vs]
	return func() tea.Msg {
		tried, err := try(text, on, beside)
		return triedMsg{seq, tried, err}
	}
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme, m.ink, m.input = t, draw.NewPalette(t, m.ASCII), m.input.Dress(t)
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m.load()
}

// read finds what the text means, and sorts what is wrong with it by its rows.
func (m Model) read() Model {
	m.wrong, m.other = map[string][]string{}, nil
	t, _, err := sequence.ReadTechnique(m.trial.Name, m.text)
	if err == nil {
		m.clauses = t.Clauses()
		return m
	}
	problems := source.Problems{}
	if !errors.As(err, &problems) {
		m.other = append(m.other, err.Error())
	}
	for _, p := range problems {
		path := ""
		for _, e := range source.Entries(m.text) {
			if e.Line == p.Line {
				path = e.Path
			}
		}
		if slices.ContainsFunc(m.clauses, func(c sequence.Clause) bool { return c.Key == path }) {
			m.wrong[path] = append(m.wrong[path], p.Text)
		} else {
			m.other = append(m.other, p.String())
		}
	}
	return m
}

// last is the row below the clauses, where one says why a sheet of the house is otherwise, or what a new one is called.
func (m Model) last() int { return len(m.clauses) }

func (m Model) onSave() bool { return m.at > m.last() }

// says is what the row in hand says.
func (m Model) says() (text, usual string) {
	switch {
	case m.onSave():
	case m.at < m.last():
		c := m.clauses[m.at]
		return c.Typed(m.text), c.Usually()
	case m.trial.Kept:
		return m.why, ""
	default:
		return m.name, ""
	}
	return "", ""
}

// fill puts what the row in hand says into the line that is typed in.
func (m Model) fill() Model {
	text, _ := m.says()
	m.input.SetValue(text)
	m.input.CursorEnd()
	return m.load()
}

// load gives the line that is typed in its room, and leaves what is typed as it is.
func (m Model) load() Model {
	_, usual := m.says()
	m.input = m.input.Load(m.input.Value(), usual, m.Width-m.pictureWidth()-labelWidth-6)
	return m
}

// to goes to another row.
func (m Model) to(at int) Model {
	m = m.aged()
	m.at, m.base = min(max(at, 0), m.last()+1), m.text
	return m.fill()
}

// aged has a reason that stayed while the word before it became another say of which it was the reason, and no more where that is back.
func (m Model) aged() Model {
	if m.at >= m.last() {
		return m
	}
	c := m.clauses[m.at]
	was, why, _ := strings.Cut(c.Typed(m.base), " # ")
	now, still, _ := strings.Cut(c.Typed(m.text), " # ")
	if now == "" || now == was || still == "" || still != why {
		return m
	}
	if old, reason, there := strings.Cut(why, ": "); there && old == "of "+now {
		still = reason
	} else if !strings.HasPrefix(why, "of ") {
		still = "of " + was + ": " + why
	}
	if text, err := sequence.Put(m.text, m.clauses, m.at, now+" # "+still); err == nil {
		m.text = text
	}
	return m
}

// say changes what the row in hand says, and tries what comes of it.
func (m Model) say(text string) (Model, tea.Cmd) {
	switch {
	case m.at == m.last() && m.trial.Kept:
		m.why = text
	case m.at == m.last():
		m.name = text
	default:
		now, err := sequence.Put(m.base, m.clauses, m.at, text)
		key := m.clauses[m.at].Key
		if err != nil {
			m.wrong[key] = []string{err.Error()}
			return m, nil
		}
		m.text = now
		m = m.read()
		m.at = max(slices.IndexFunc(m.clauses, func(c sequence.Clause) bool { return c.Key == key }), 0)
		return m.again()
	}
	return m, nil
}

// again tries the text that is there now, unless it means nothing.
func (m Model) again() (Model, tea.Cmd) {
	m.seq++
	if len(m.wrong)+len(m.other) > 0 {
		return m, nil
	}
	return m, m.try()
}

// typed says whether anything would be lost.
func (m Model) typed() bool {
	return string(m.text) != string(m.trial.Text) || m.why != "" || m.name != m.trial.Name
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case triedMsg:
		if msg.seq != m.seq {
			return m, nil
		}
		if m.said = ""; msg.err != nil {
			m.said = msg.err.Error()
			return m.load(), nil
		}
		m.tried, m.drawn = msg.tried, true
		m.scene = draw.At(m.tried.Plan, len(m.tried.Plan.Steps)-1, 0) // strung, before it comes off the machine
		return m.load(), nil
	case keptMsg:
		if msg.err != nil {
			m.Notice = screen.Wrong(msg.err.Error())
			return m, nil
		}
		said := "kept as " + m.name
		if !m.trial.Kept {
			said += "; a job that is to be strung so names it"
		}
		return m, func() tea.Msg { return screen.LeaveMsg{Said: said} }
	case tea.KeyMsg:
		return m.press(msg)
	}
	var cmd tea.Cmd
	m.input, _, cmd = m.input.Type(msg)
	return m, cmd
}

func (m Model) press(k tea.KeyMsg) (Model, tea.Cmd) {
	m.Notice = screen.Notice{}
	leaving := m.leaving
	m.leaving = false
	switch {
	case key.Matches(k, m.keys.Page):
		m.page, m.top = (m.page+1)%pages, 0
		return m, nil
	case key.Matches(k, m.keys.Against):
		m.vs = (m.vs + 1) % len(m.trial.Beside)
		return m.again()
	case key.Matches(k, m.keys.Frame):
		m.on = (m.on + 1) % len(m.trial.On)
		return m.again()
	case key.Matches(k, m.keys.Save):
		return m.save()
	case m.page != onForm:
		switch {
		case key.Matches(k, m.keys.Cancel):
			m.page = onForm
		case key.Matches(k, m.keys.Up):
			m.top = max(m.top-1, 0)
		case key.Matches(k, m.keys.Down):
			m.top = min(m.top+1, max(len(m.words(m.Room()))-m.rows(), 0))
		}
		return m, nil
	case key.Matches(k, m.keys.Cancel):
		if m.typed() && !leaving {
			m.leaving = true
			m.Notice = screen.Notice{Text: "esc once more throws away what was typed", Role: theme.Warn}
			return m, nil
		}
		return m, screen.Leave
	case key.Matches(k, m.keys.Next) && m.onSave():
		return m.save()
	case key.Matches(k, m.keys.Next), key.Matches(k, m.keys.Down):
		return m.to(m.at + 1), nil
	case key.Matches(k, m.keys.Up):
		return m.to(m.at - 1), nil
	case m.onSave():
		return m, nil
	case key.Matches(k, m.keys.Change) && m.next() != "":
		m, cmd := m.say(m.next())
		return m.fill(), cmd
	}
	var changed bool
	var cmd tea.Cmd
	if m.input, changed, cmd = m.input.Type(k); changed {
		return m.say(m.input.Value())
	}
	return m, cmd
}

// next is the word after the one that the row in hand says, with its reason; empty where the row takes others, or where the cursor may go on.
func (m Model) next() string {
	if m.at >= m.last() || m.input.Position() < len([]rune(m.input.Value())) {
		return ""
	}
	c := m.clauses[m.at]
	text, usual := m.says()
	word, why, reason := strings.Cut(text, " #")
	if len(c.Takes) == 0 {
		return ""
	}
	if word == "" {
		word = usual
	}
	word = c.Takes[(slices.Index(c.Takes, word)+1)%len(c.Takes)]
	if reason {
		word += " #" + why
	}
	return word
}

// save keeps the sheet, or goes to what is not in order.
func (m Model) save() (Model, tea.Cmd) {
	m = m.aged()
	for i, c := range m.clauses {
		if len(m.wrong[c.Key]) > 0 {
			m = m.to(i)
			m.Notice = screen.Wrong("not kept: something is wrong here")
			return m, nil
		}
	}
	if len(m.other) > 0 {
		m.Notice = screen.Wrong("not kept: " + m.other[0])
		return m, nil
	}
	if m.trial.Kept && string(m.text) == string(m.trial.Text) {
		m.Notice = screen.Said("nothing was changed")
		return m, nil
	}
	m.Notice = screen.Said("keeping " + m.name)
	keep, name, text, why := m.trial.Keep, m.name, m.text, m.why
	return m, func() tea.Msg { return keptMsg{keep(context.Background(), name, text, why)} }
}

// Typing says whether text is typed, so that it may be pasted too.
func (m Model) Typing() bool { return m.page == onForm && !m.onSave() }

// Once says whether a key counts once however long it is held down.
func (m Model) Once(k tea.KeyMsg) bool {
	return key.Matches(k, m.keys.Save, m.keys.Cancel, m.keys.Page, m.keys.Against, m.keys.Frame) || m.onSave() && key.Matches(k, m.keys.Next)
}

// Small says whether the terminal is too small to show more than that.
func (m Model) Small() bool { return m.Width < 60 || m.Height < 20 }

// Help is what the screen is for, and its keys; f1 asks for it, as all else is typed.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "How the house strings, a setting each line; behind a # stands why. The racket and what there is to do change as you type, and so does what is otherwise than before or, by ctrl+a, than by another sheet.", Keys: m.enabled()}
}

func (m Model) enabled() []key.Binding {
	k := m.keys
	if m.page != onForm {
		k.Cancel.SetHelp("esc", "back to the form")
		return []key.Binding{k.Page, k.Against, k.Frame, k.Cancel, k.Down}
	}
	if m.onSave() {
		k.Next.SetHelp("enter", "keep")
	}
	out := []key.Binding{k.Next}
	if m.next() != "" {
		out = append(out, k.Change)
	}
	return append(out, k.Page, k.Against, k.Save, k.Cancel, k.Frame, k.Down)
}
