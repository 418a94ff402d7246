// Package hoop is the screen with what stringing does to the hoop: the hoop as it gives and what is left in every strand, step by
// step, the figures beside it, techniques side by side, a search for a gentler one, and the entry of what was measured off the machine.
//
// Call New with a Sheet.
package hoop

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"pullcard/patterns/measure"
	"pullcard/sequence/calc"
	"pullcard/sequence/strain"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Sheet is what the screen shows.
type Sheet struct {
	Title  string
	Course *strain.Course // nil where it could not be worked out, and Trouble then says why
	// Unit is that of the tensions.
	Unit    measure.Unit
	Trouble string
	// Expected is what to expect when measuring off the machine.
	Expected calc.Expected
	// Assumed are the numbers that are taken for granted, as lines.
	Assumed []string
	// Gentlest searches what the sheet leaves open, and Beside sets the house's sheets and variants of this one side by side; each
	// tells how far it is, and is nil where it cannot.
	Gentlest, Beside func(ctx context.Context, tell func(tried, of int)) ([]string, error)
	// Keep keeps what was measured in the book, as it was typed; nil where there is no book. It says what comes of it.
	Keep func(text string) error
}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Earlier, Later, Up, Down, Gentlest, Beside, Measure, Next, Enter, Stop, Leave key.Binding }

// Model is the screen.
type Model struct {
	screen.Look
	sheet  Sheet
	keys   KeyMap
	step   int // from 1
	words  screen.Split
	form   [2]textinput.Model // the hoop before stringing and after
	at     int                // the field in hand
	typing bool
	said   []line // what came of a search or of measuring
	search *search
}

// search is one under way; its screen and it share how far it is.
type search struct {
	stop      context.CancelFunc
	tried, of atomic.Int64
	shown     string
}

type (
	foundMsg struct {
		lines []string
		err   error
		of    *search
	}
	tickMsg struct{ of *search }
	keptMsg struct{ err error }
)

// line is a line of words.
type line struct {
	role theme.Role
	text string
}

// New is the screen with a sheet, at the last step; ascii draws with ASCII characters only.
func New(s Sheet, t theme.Theme, ascii bool) Model {
	m := Model{Look: screen.Look{ASCII: ascii}, sheet: s, keys: KeyMap{
		Earlier: key.NewBinding(key.WithKeys("left"), key.WithHelp("←→", "step")), Later: key.NewBinding(key.WithKeys("right")),
		Up: key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑", "up")), Down: key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Gentlest: key.NewBinding(key.WithKeys("g"), key.WithHelp("g", "gentlest")), Measure: key.NewBinding(key.WithKeys("m"), key.WithHelp("m", "measured")),
		Beside: key.NewBinding(key.WithKeys("t"), key.WithHelp("t", "techniques")), Next: key.NewBinding(key.WithKeys("tab", "up", "down"), key.WithHelp("tab", "other field")),
		Enter: key.NewBinding(key.WithKeys("enter"), key.WithHelp("enter", "take it")), Stop: key.NewBinding(key.WithKeys("esc"), key.WithHelp("esc", "stop")),
		Leave: key.NewBinding(key.WithKeys("q", "esc", "backspace", "h"), key.WithHelp("q", "back")),
	}}
	for i, prompt := range [2]string{"before ", "after  "} {
		m.form[i] = textinput.New()
		m.form[i].Placeholder, m.form[i].Prompt, m.form[i].CharLimit = [2]string{"330 x 250", "329.2 x 250.6"}[i], prompt, 30
	}
	if s.Course != nil {
		m.step = len(s.Course.At)
	}
	m.keys.Gentlest.SetEnabled(s.Course != nil && s.Gentlest != nil)
	m.keys.Beside.SetEnabled(s.Course != nil && s.Beside != nil)
	m.keys.Measure.SetEnabled(s.Course != nil)
	m.keys.Earlier.SetEnabled(s.Course != nil)
	m.keys.Later.SetEnabled(s.Course != nil)
	return m.SetTheme(t)
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m.SetSize(m.Width, m.Height)
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	m.Lay(&m.words, m.draw(), func(width int) []string {
		for i := range m.form {
			m.form[i].Width = max(width-lipgloss.Width(m.form[i].Prompt)-2, 1)
		}
		return m.lines(width)
	}, &m.keys.Up, &m.keys.Down)
	return m
}

// Typing says whether keys are letters of what is being typed.
func (m Model) Typing() bool { return m.typing }

// Once says whether a key counts once however long it is held down.
func (m Model) Once(k tea.KeyMsg) bool {
	return !m.typing && key.Matches(k, m.keys.Leave, m.keys.Gentlest, m.keys.Beside, m.keys.Measure)
}

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case foundMsg:
		return m.found(msg), nil
	case tickMsg:
		if m.search != msg.of {
			return m, nil
		}
		m.search.shown = fmt.Sprintf("searching: %d of about %d plans tried; esc stops", m.search.tried.Load(), m.search.of.Load())
		return m.SetSize(m.Width, m.Height), tick(m.search)
	case keptMsg:
		if msg.err != nil {
			m.said = append(m.said, line{theme.Danger, "not kept: " + msg.err.Error()})
		} else {
			m.said = append(m.said, line{theme.OK, "kept in the book"})
		}
		return m.SetSize(m.Width, m.Height), nil
	case tea.KeyMsg:
		if m.typing {
			return m.typed(msg)
		}
		return m.pressed(msg)
	}
	return m, nil
}

func (m Model) pressed(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case m.search != nil && key.Matches(k, m.keys.Stop):
		m.search.stop()
	case key.Matches(k, m.keys.Earlier):
		m.step = max(m.step-1, 1)
		return m.SetSize(m.Width, m.Height), nil
	case key.Matches(k, m.keys.Later):
		m.step = min(m.step+1, len(m.sheet.Course.At))
		return m.SetSize(m.Width, m.Height), nil
	case key.Matches(k, m.keys.Up):
		m.words.ScrollUp(1)
	case key.Matches(k, m.keys.Down):
		m.words.ScrollDown(1)
	case key.Matches(k, m.keys.Gentlest) && m.search == nil:
		return m.seek(m.sheet.Gentlest)
	case key.Matches(k, m.keys.Beside) && m.search == nil:
		return m.seek(m.sheet.Beside)
	case key.Matches(k, m.keys.Measure):
		m.typing = true
		for i := range m.form {
			m.form[i].SetValue("")
		}
		return m.field(0)
	case key.Matches(k, m.keys.Leave):
		if m.search != nil {
			m.search.stop()
		}
		return m, screen.Leave
	}
	return m, nil
}

// field goes to a field of the form.
func (m Model) field(i int) (Model, tea.Cmd) {
	m.at = i
	m.form[1-i].Blur()
	cmd := m.form[i].Focus()
	return m.SetSize(m.Width, m.Height), cmd
}

// typed takes a key of what is typed.
func (m Model) typed(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Stop):
		m.typing = false
		return m.SetSize(m.Width, m.Height), nil
	case key.Matches(k, m.keys.Next), key.Matches(k, m.keys.Enter) && m.at == 0:
		return m.field(1 - m.at)
	case key.Matches(k, m.keys.Enter):
		text := m.form[0].Value() + ", " + m.form[1].Value()
		tape, err := calc.ParseHoopMeasurement(text)
		if err != nil {
			m.said = []line{{theme.Danger, err.Error()}}
			return m.SetSize(m.Width, m.Height), nil
		}
		m.typing = false
		words, outside := m.sheet.Expected.Judge(tape)
		role := theme.OK
		if outside {
			role = theme.Danger
		}
		m.said = []line{{role, words}}
		keep := m.sheet.Keep
		m = m.SetSize(m.Width, m.Height)
		if keep == nil {
			return m, nil
		}
		return m, func() tea.Msg { return keptMsg{keep(text)} }
	}
	var cmd tea.Cmd
	m.form[m.at], cmd = m.form[m.at].Update(k)
	return m.SetSize(m.Width, m.Height), cmd
}

// seek begins a search.
func (m Model) seek(work func(ctx context.Context, tell func(tried, of int)) ([]string, error)) (Model, tea.Cmd) {
	ctx, stop := context.WithCancel(context.Background())
	s := &search{stop: stop, shown: "searching; esc stops"}
	m.search, m.said = s, nil
	return m.SetSize(m.Width, m.Height), tea.Batch(tick(s), func() tea.Msg {
		lines, err := work(ctx, func(tried, of int) { s.tried.Store(int64(tried)); s.of.Store(int64(of)) })
		return foundMsg{lines, err, s}
	})
}

func tick(s *search) tea.Cmd {
	return tea.Tick(100*time.Millisecond, func(time.Time) tea.Msg { return tickMsg{s} })
}

// found shows what a search came to.
func (m Model) found(f foundMsg) Model {
	if m.search != f.of {
		return m
	}
	m.search, m.said = nil, nil
	if f.err != nil {
		m.said = []line{{theme.Warn, "the search ended: " + f.err.Error()}}
	}
	for _, text := range f.lines {
		m.said = append(m.said, line{theme.Current, text})
	}
	return m.SetSize(m.Width, m.Height)
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	title := "HOOP"
	if m.sheet.Course != nil {
		title += fmt.Sprintf("  step %d of %d", m.step, len(m.sheet.Course.At))
	}
	head := m.Style(theme.Title, title) + "  " + m.Style(theme.Text, theme.Clean(m.sheet.Title))
	return m.Page([]string{head}, m.words.Body(), m.Foot(m.shown()...))
}

// shown are the keys for the foot.
func (m Model) shown() []key.Binding {
	switch {
	case m.typing:
		return []key.Binding{m.keys.Enter, m.keys.Next, m.keys.Stop}
	case m.search != nil:
		return []key.Binding{m.keys.Stop, m.keys.Earlier}
	}
	return []key.Binding{m.keys.Earlier, m.keys.Up, m.keys.Gentlest, m.keys.Beside, m.keys.Measure, m.keys.Leave}
}

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "What stringing does to the hoop, step by step: how far it gives, what its supports carry, and what is left in every strand. The figures are those of a model.",
		Keys: m.shown()}
}
