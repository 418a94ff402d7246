package rack

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"pullcard/patterns/harmless"
	"pullcard/tui/theme"
)

// bindings are the keys that can act.
func (m Model) bindings() []key.Binding {
	k := m.keys
	if m.Width < 90 { // on the narrowest screens the arrows and some doors are left out
		k.Choose.SetHelp("enter", "string")
	}
	_, some := m.chosen()
	out := []key.Binding{k.Up, k.Choose} // the help of up names both arrows
	switch {
	case !some && len(m.items) > 0:
		out = []key.Binding{k.View}
	case m.Width < 80:
		out = out[1:]
	}
	if m.sift.typing { // every letter finds
		if !some && m.sift.letters != "" {
			k.Choose.SetHelp("enter", "look in the book")
			return []key.Binding{k.Choose, k.Shorter, k.All}
		}
		return []key.Binding{k.Up, k.Choose, k.Shorter, k.All, k.View}
	}
	if len(m.marks) > 0 {
		k.Print.SetHelp("t", fmt.Sprintf("%d tickets", len(m.marks)))
		out = append(out, k.Print)
	}
	if m.canPark() {
		if item, _ := m.chosen(); item.Parked {
			k.Park.SetHelp("p", "take up")
		}
		out = append(out, k.Park)
	}
	for _, d := range m.doors {
		help := d.Help
		if m.Width < 90 {
			help = cmp.Or(d.Short, d.Help)
		}
		if m.Width >= d.From {
			out = append(out, key.NewBinding(key.WithKeys(d.Key), key.WithHelp(d.Key, help)))
		}
	}
	if len(m.items) > few {
		out = append(out, k.Find)
	}
	if m.Width >= 80 {
		out = append(out, k.Help)
	}
	return append(out, k.Leave)
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	lines, from, to := m.list()
	room := max(m.Height-3, 1)
	if to > room { // all that is said of the chosen one is in sight, its first lines where that is too much
		lines = lines[min(to-room, from):]
	}
	head := m.Style(theme.Title, "pullcard") + m.Style(theme.Quiet, "  which racket goes on the bench?"+m.viewed())
	if m.sift.typing || m.sift.letters != "" {
		head = m.Style(theme.Title, "find") + "  " + m.Style(theme.Current, theme.Clean(m.sift.letters)+m.Sign("▏", "_")) + m.Style(theme.Quiet, m.viewed())
	}
	return m.Page([]string{head, ""}, lines[:min(len(lines), room)], m.Foot(m.bindings()...))
}

// list is the lines of the items; those of the chosen one stand from a line on and end before another.
func (m Model) list() (lines []string, from, to int) {
	group := ""
	shown := m.shown()
	if len(shown) == 0 && len(m.items) > 0 {
		text := "none of them; tab shows others"
		if m.sift.letters != "" {
			text = "none that waits or is in work; what was strung is in the book, by enter"
		}
		lines = m.Hang(theme.Quiet, "", text, m.Room())
		return lines, 0, len(lines)
	}
	for i, of := range shown {
		item := m.items[of]
		start := len(lines)
		if item.Group != group {
			if group != "" {
				lines = append(lines, "")
				start++
			}
			group = item.Group
			lines = append(lines, m.Hang(theme.Quiet, "", theme.Clean(group), m.Room())...)
		}
		lines = append(lines, m.item(item, of+1, i == m.at)...)
		if i == m.at {
			from, to = start, len(lines)
		}
	}
	return lines, from, to
}

// item is the lines of one item: one, and all that is said of the chosen one below it.
func (m Model) item(item Item, number int, chosen bool) []string {
	mark, role, at := "  ", theme.Text, theme.OK
	short := item.Short
	if item.Trouble != "" {
		short = "cannot be strung as it is"
	}
	said := item.Mark
	if item.Held != "" {
		said = item.Held + "; " + said
	}
	if item.Late {
		at, said = theme.Warn, "! "+said
	}
	if chosen {
		mark, role, short = m.Sign("▶ ", "> "), theme.Current, ""
	}
	if m.marks[item.Key] {
		mark = strings.TrimSpace(mark) + m.Sign("✓ ", "* ")
		mark = strings.Repeat(" ", max(2-lipgloss.Width(mark), 0)) + mark
	}
	lines := []string{m.line(number, role, mark+theme.Clean(item.Title), item.Late || item.Trouble != "", short)}
	if !chosen {
		return lines
	}
	lines = append(lines, m.below(at, said)...)
	lines = append(lines, m.below(theme.Quiet, item.Detail)...)
	return append(lines, m.below(theme.Danger, item.Trouble)...)
}

// line is a racket in one line: its number, whose it is, and at the end where it stands.
func (m Model) line(number int, role theme.Role, title string, warn bool, short string) string {
	n := fmt.Sprintf("%2d ", number)
	room := m.Room() - len(n)
	if warn && short != "" {
		short = "! " + short
	}
	short = m.Plain(short)
	width := min(lipgloss.Width(short), room/2)
	if width == 0 {
		return m.Style(theme.Quiet, n) + m.Style(role, theme.Fill(title, max(room, 1), m.ASCII))
	}
	quiet := theme.Quiet
	if warn {
		quiet = theme.Warn
	}
	return m.Style(theme.Quiet, n) + m.Style(role, theme.Fill(title, max(room-width-2, 1), m.ASCII)) + "  " + m.Style(quiet, theme.Fill(short, width, m.ASCII))
}

// below is what stands below a title, none of it cut.
func (m Model) below(r theme.Role, text string) []string {
	if text == "" {
		return nil
	}
	return m.Hang(r, "    ", harmless.Page(text), max(m.Width-2, 14))
}
