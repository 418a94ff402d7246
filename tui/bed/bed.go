// Package bed is the screen with a job's numbers: lengths to cut, tensions, and what the strung bed will be, beside a map
// of its stiffness.
//
// Call New with a Sheet; the model answers with a LeaveMsg.
package bed

import (
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/calc"
	"pullcard/tui/theme"
)

// Sheet is what the screen shows.
type Sheet struct {
	// Title says whose racket it is, or which frame.
	Title string
	// Lengths and Bed are the numbers; each is nil where it could not be worked out, and Trouble then says why, every
	// problem on its own line. Bed has its Map.
	Lengths *calc.Lengths
	Bed     *calc.Bed
	Trouble string
	// Cautions are what to know of the machine's tensions.
	Cautions []string
}

// LeaveMsg says that the stringer goes back to where the screen was opened.
type LeaveMsg struct{}

// KeyMap is what the keys of the screen do.
type KeyMap struct{ Up, Down, Leave key.Binding }

// Model is the screen.
type Model struct {
	sheet         Sheet
	theme         theme.Theme
	ascii         bool
	keys          KeyMap
	help          help.Model
	top           int // first line of the numbers in sight
	width, height int
	picture       []string // the map, worked out for the size
	numbers       []line
}

// New is the screen with a sheet; ascii draws the map with ASCII characters only.
func New(s Sheet, t theme.Theme, ascii bool) Model {
	m := Model{sheet: s, ascii: ascii, keys: KeyMap{
		Up:    key.NewBinding(key.WithKeys("up", "k", "pgup"), key.WithHelp("↑", "up")),
		Down:  key.NewBinding(key.WithKeys("down", "j", "pgdown"), key.WithHelp("↓", "down")),
		Leave: key.NewBinding(key.WithKeys("q", "esc", "backspace", "b"), key.WithHelp("q", "back")),
	}}
	return m.SetTheme(t)
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.theme = t
	m.help = t.Help(false)
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.width, m.height = width, height
	m.picture = nil
	if m.sheet.Bed != nil {
		m.picture = chart(m.sheet.Bed, width/2-1, m.rows(), m.ascii)
	}
	m.numbers = m.sheet.lines(m.room())
	m.top = min(m.top, m.last())
	m.keys.Up.SetEnabled(m.last() > 0)
	m.keys.Down.SetEnabled(m.last() > 0)
	return m
}

// rows is the room between the top line and the foot.
func (m Model) rows() int { return max(m.height-2, 1) }

// room is the width for the numbers.
func (m Model) room() int {
	room := m.width - 2
	if len(m.picture) > 0 {
		room -= lipgloss.Width(m.picture[0]) + 2
	}
	return max(room, 1)
}

// last is the last line that the numbers can begin with.
func (m Model) last() int { return max(len(m.numbers)-m.rows(), 0) }

// Typing says that nothing is typed here.
func (m Model) Typing() bool { return false }

// Once says whether a key counts once however long it is held down: what leads away, which could lead on elsewhere.
func (m Model) Once(k tea.KeyMsg) bool { return key.Matches(k, m.keys.Leave) }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return m, nil
	}
	switch {
	case key.Matches(k, m.keys.Up):
		m.top = max(m.top-1, 0)
	case key.Matches(k, m.keys.Down):
		m.top = min(m.top+1, m.last())
	case key.Matches(k, m.keys.Leave):
		return m, func() tea.Msg { return LeaveMsg{} }
	}
	return m, nil
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	out := []string{m.theme.Style(theme.Title).Render("NUMBERS") + "  " + m.theme.Style(theme.Text).Render(theme.Clean(m.sheet.Title))}
	for i := range m.rows() {
		text := ""
		if at := m.top + i; at < len(m.numbers) {
			text = m.theme.Style(m.numbers[at].role).Render(m.numbers[at].text)
		}
		if i < len(m.picture) {
			text = theme.Fill(text, m.room()+1, false) + m.theme.Style(theme.Main).Render(m.picture[i])
		}
		out = append(out, text)
	}
	out = append(out, m.foot())
	out = out[:min(len(out), m.height)]
	for i := range out {
		out[i] = theme.Fill(" "+out[i], m.width, false)
	}
	return m.theme.Paint(strings.Join(out, "\n"))
}

// foot is the keys that can act, and how much more there is.
func (m Model) foot() string {
	var keys []key.Binding
	for _, k := range []key.Binding{m.keys.Up, m.keys.Down, m.keys.Leave} {
		if k.Enabled() {
			keys = append(keys, k)
		}
	}
	foot := m.help.ShortHelpView(keys)
	if m.top < m.last() {
		foot += m.theme.Style(theme.Quiet).Render("  more below")
	}
	return foot
}
