package frame

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/theme"
)

// The smallest terminal that the form works in, in columns and rows.
const (
	MinWidth  = 60
	MinHeight = 20
)

const (
	labelWidth = 16 // columns of a field's name
	formLeast  = 39 // columns that the form needs beside the picture
)

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	if m.Small() {
		return m.set.Theme.Paint(m.fit([]string{fmt.Sprintf("%d×%d is too small", m.width, m.height), fmt.Sprintf("at least %d×%d", MinWidth, MinHeight)}, m.width, m.height))
	}
	body := m.body(m.width, m.height-2)
	return m.set.Theme.Paint(m.fit([]string{m.top()}, m.width, 1) + "\n" + body + "\n" + m.fit([]string{m.foot()}, m.width, 1))
}

// body is the picture beside the form, or one of them alone where both do not fit.
func (m Model) body(width, height int) string {
	if m.showing {
		return m.scene.Render(width, height, m.turn(width, height), m.ink)
	}
	pw := m.pictureWidth()
	if pw == 0 {
		return m.fit(m.window(width-2, height), width, height)
	}
	picture := strings.Split(m.scene.Render(pw, height, m.set.Turn, m.ink), "\n")
	lines := strings.Split(m.fit(m.window(width-pw-2, height), width-pw, height), "\n")
	for i := range picture {
		picture[i] += lines[i]
	}
	return strings.Join(picture, "\n")
}

func (m *Model) formWidth() int { return m.width - m.pictureWidth() - 2 }

// fit makes lines exactly as wide and as many as they should be; a line is indented by a space.
func (m Model) fit(lines []string, width, height int) string {
	out := make([]string, height)
	for i := range out {
		line := ""
		if i < len(lines) {
			line = " " + lines[i]
		}
		line = ansi.Truncate(line, width, m.sign("…", "~"))
		if gap := width - lipgloss.Width(line); gap > 0 {
			line += strings.Repeat(" ", gap)
		}
		out[i] = line
	}
	return strings.Join(out, "\n")
}

func (m Model) style(r theme.Role, text string) string { return m.set.Theme.Style(r).Render(text) }

// sign is a character, or what stands for it where only ASCII may be used.
func (m Model) sign(full, ascii string) string {
	if m.set.ASCII {
		return ascii
	}
	return full
}

func (m Model) top() string {
	left := "NEW FRAME"
	if !m.fresh() {
		left = "EDIT " + theme.Clean(m.origin.name)
	}
	right := "nothing is typed yet"
	if name := m.name(); name != "" {
		right = "to be saved as " + theme.Clean(name) + ".toml"
	}
	room := max(m.width-2-lipgloss.Width(left)-2, 0)
	right = ansi.Truncate(right, room, m.sign("…", "~"))
	return m.style(theme.Title, left) + strings.Repeat(" ", max(room-lipgloss.Width(right), 0)+2) + m.style(theme.Quiet, right)
}

// foot is what just happened, or the keys.
func (m Model) foot() string {
	if m.notice.text != "" {
		return m.style(m.notice.role, theme.Clean(m.notice.text))
	}
	return m.help.ShortHelpView(m.enabled())
}

// fold breaks a text between words into lines that are no wider than so many columns, but for a word that is.
func fold(text string, width int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && lipgloss.Width(line)+1+lipgloss.Width(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// typing is the line that is typed in; it takes out control characters itself, but not those that turn the writing.
func (m Model) typing() string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, m.input.View())
}
