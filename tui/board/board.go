// Package board is the screen for the wall of a room, which is read from four metres: which rackets are ready, in work, late and
// waiting. It turns its pages by itself.
//
// Call New with what reads the wall.
package board

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"pullcard/sequence/shop"
	"pullcard/tui/draw"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// Settings are what the wall is shown with.
type Settings struct {
	Theme theme.Theme
	ASCII bool
	Now   func() time.Time
	// Read asks the room for what the wall shows. It is called away from the screen and may take its time.
	Read func() (shop.Wall, error)
}

// How often the wall is read, how many readings a page stays, and after how long without a word of any bench the wall says so. Benches
// that are there say something every few minutes.
const (
	every  = 2 * time.Second
	stays  = 4
	silent = 12 * time.Minute
)

// Model is the screen.
type Model struct {
	screen.Look
	set   Settings
	leave key.Binding
	wall  shop.Wall
	at    time.Time // when it was read last, zero before the first time
	err   error     // why it could not be read since
	turns int       // readings so far
}

// wallMsg is what was read.
type wallMsg struct {
	wall shop.Wall
	at   time.Time
	err  error
}

// tickMsg asks to read again.
type tickMsg struct{}

// New is the screen of a wall, which Init reads.
func New(s Settings) Model {
	m := Model{Look: screen.Look{ASCII: s.ASCII}, set: s, leave: key.NewBinding(key.WithKeys("q", "esc"), key.WithHelp("q", "leave"))}
	return m.SetTheme(s.Theme)
}

// Init reads the wall.
func (m Model) Init() tea.Cmd {
	read, now := m.set.Read, m.set.Now
	return func() tea.Msg {
		w, err := read()
		return wallMsg{w, now(), err}
	}
}

// SetTheme changes how the screen looks.
func (m Model) SetTheme(t theme.Theme) Model {
	m.Theme = t
	return m
}

// SetSize fits the screen into a terminal of so many columns and rows.
func (m Model) SetSize(width, height int) Model {
	m.Width, m.Height = width, height
	return m
}

// Once says that every key counts once however long it is held down.
func (m Model) Once(tea.KeyMsg) bool { return true }

// Update takes a message.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		if key.Matches(msg, m.leave) {
			return m, screen.Leave
		}
	case wallMsg:
		m.turns++
		if m.err = msg.err; m.err == nil {
			m.wall, m.at = msg.wall, msg.at
		}
		return m, tea.Tick(every, func(time.Time) tea.Msg { return tickMsg{} })
	case tickMsg:
		return m, m.Init()
	}
	return m, nil
}

// tall is how many rows a racket takes, figures and a blank one; wide how many columns one has at least.
const (
	tall = 4
	wide = 78
)

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	across := max(m.Room()/wide, 1)
	down := max((m.Height-2)/tall, 1)
	lines, page, pages := m.page(across * down)
	var body []string
	for i := 0; i < len(lines); i += across {
		body = append(body, m.row(lines[i:min(i+across, len(lines))], m.Room()/across)...)
	}
	if len(lines) == 0 {
		body = m.empty()
	}
	head := m.Style(theme.Title, "RACKETS") + m.Style(theme.Quiet, m.counts())
	if pages > 1 {
		head += m.Style(theme.Quiet, fmt.Sprintf("  page %d of %d", page+1, pages))
	}
	return m.Page([]string{head}, body, m.foot())
}

// page is the lines that are shown now, of so many that have room.
func (m Model) page(room int) (lines []shop.WallLine, page, pages int) {
	all := m.wall.Lines
	pages = max((len(all)+room-1)/room, 1)
	page = m.turns / stays % pages
	return all[min(page*room, len(all)):min((page+1)*room, len(all))], page, pages
}

// counts says how many there are of each sort.
func (m Model) counts() (out string) {
	n := map[shop.Place]int{}
	for _, l := range m.wall.Lines {
		n[l.Place]++
	}
	for _, p := range []shop.Place{shop.IsReady, shop.InWork, shop.IsLate, shop.Waits} {
		if n[p] > 0 {
			out += fmt.Sprintf("  %d %s", n[p], p)
		}
	}
	return out
}

// foot says since when nothing was heard, or how to leave.
func (m Model) foot() []string {
	switch {
	case m.err != nil && m.at.IsZero():
		return []string{m.Style(theme.Danger, "the room is not reached: "+screen.Line(m.err.Error()))}
	case m.err != nil:
		return []string{m.Style(theme.Warn, "this is how it stood at "+m.at.Format("15:04")+"; the room is not reached since")}
	case !m.wall.Told.IsZero() && m.at.Sub(m.wall.Told) > silent:
		return []string{m.Style(theme.Warn, "this is how it stood at "+m.wall.Told.Format("15:04")+"; no bench was heard since")}
	}
	return m.Keys(m.leave)
}

// empty says, where there is nothing to show, why, in large letters as far as there is room.
func (m Model) empty() (body []string) {
	text := "NO RACKET IS HERE"
	switch {
	case m.at.IsZero():
		return nil
	case m.wall.Told.IsZero():
		text = "NO BENCH HAS SHOWN ITS RACKETS YET"
	}
	line := ""
	for _, word := range append(strings.Fields(text), "") {
		longer := strings.TrimSpace(line + " " + word)
		if word != "" && draw.BigWidth(longer, 3) <= m.Room() {
			line = longer
			continue
		}
		for _, l := range append(m.large(line), "") {
			body = append(body, m.Style(theme.Text, l))
		}
		line = word
	}
	return body
}

// row is rackets side by side.
func (m Model) row(lines []shop.WallLine, width int) []string {
	out := make([]string, tall)
	for _, l := range lines {
		for i, text := range m.racket(l, width-2) {
			out[i] += theme.Fill(text, width, m.ASCII)
		}
	}
	return out
}

// racket is one: its name in large figures and, beside them, where it stands and a time, as large.
func (m Model) racket(l shop.WallLine, width int) []string {
	role := map[shop.Place]theme.Role{shop.IsReady: theme.OK, shop.InWork: theme.Current, shop.IsLate: theme.Danger, shop.Waits: theme.Text}[l.Place]
	when := ""
	if !l.At.IsZero() {
		when = l.At.In(m.set.Now().Location()).Format("15:04")
	}
	large := m.large(when)
	room := width - lipgloss.Width(large[0]) - 1
	name := m.name(screen.Line(l.Name), room-12)
	broad := lipgloss.Width(name[1])
	word := words()[l.Place]
	place, gap, left := m.large(word), apart, room-broad-apart-draw.BigWidth(word, 3)-1
	says := m.says(l, "", left)
	if left < details { // what stands in ordinary letters is told by its colour from afar
		place, gap, says = m.large(""), 2, m.says(l, word, room-broad-2)
	}
	out := make([]string, tall)
	for i := range 3 {
		text := theme.Fill(name[i], broad+gap, m.ASCII)
		if place[0] != "" {
			text += place[i] + " "
		}
		text += says[i]
		out[i] = m.Style(role, theme.Fill(text, room+1, m.ASCII)+large[i])
	}
	return out
}

// words are what the places are called in large letters, and details how many columns there are beside them at least.
func words() map[shop.Place]string {
	return map[shop.Place]string{shop.IsReady: "READY", shop.InWork: "WORK", shop.IsLate: "LATE", shop.Waits: "WAITS"}
}

const details = 9

// apart is how many columns stand between two words in large letters, whose own stand one apart: "BS WORK" is no "BSWORK" from afar.
const apart = 3

// says is where a racket stands, in three lines no wider than so many columns.
func (m Model) says(l shop.WallLine, word string, width int) [3]string {
	where, when := "", ""
	if l.Steps > 0 {
		where = fmt.Sprintf("%d/%d", l.Step, l.Steps)
		if l.Bench != "" {
			where += " at " + screen.Line(l.Bench)
		}
	}
	switch {
	case l.At.IsZero():
	case l.Place == shop.IsReady:
		when = "since"
	case l.Steps > 0:
		when = "about"
	default:
		when = "promised"
	}
	out := [3]string{word, where, when}
	for i, text := range out {
		out[i] = theme.Fill(text, max(width, 1), m.ASCII)
	}
	return out
}

// name is a name in large figures where it has room and they know its letters, else in ordinary ones.
func (m Model) name(name string, room int) []string {
	if draw.BigWidth(name, 3) <= room && known(name) {
		return m.large(name)
	}
	return []string{"", theme.Fill(name, max(min(room, lipgloss.Width(name)), 1), m.ASCII), ""}
}

func (m Model) large(text string) []string {
	if text == "" {
		return []string{"", "", ""}
	}
	return draw.Big(text, 3, m.ASCII)
}

// known says whether the large figures have all of a text.
func known(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != ' ' }) < 0
}

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "The wall: which rackets are ready, in work, late and waiting. It turns its pages by itself.", Keys: []key.Binding{m.leave}}
}
