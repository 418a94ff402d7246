package screen

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/report"
	"pullcard/tui/theme"
)

// Look is how a screen is drawn. Screens embed it; what it says of keys and size holds for a screen that says nothing else.
type Look struct {
	Theme theme.Theme
	// ASCII draws with ASCII characters only.
	ASCII bool
	// Width and Height are the terminal's, in columns and rows.
	Width, Height int
	Notice        Notice
}

// Notice is a line that says what just happened or went wrong; as a message it has a screen say so.
type Notice struct {
	Text string
	Role theme.Role
}

// Said is a notice of what was done, and Wrong one of what went wrong.
func Said(text string) Notice  { return Notice{text, theme.OK} }
func Wrong(text string) Notice { return Notice{text, theme.Danger} }

// Init starts nothing.
func (l Look) Init() tea.Cmd { return nil }

// Typing says that nothing is typed.
func (l Look) Typing() bool { return false }

// Small says that there is room.
func (l Look) Small() bool { return false }

// Style gives a text the looks of a role.
func (l Look) Style(r theme.Role, text string) string { return l.Theme.Style(r).Render(text) }

// Sign is a character, or what stands for it where only ASCII may be used.
func (l Look) Sign(full, ascii string) string {
	if l.ASCII {
		return ascii
	}
	return full
}

// Room is how many columns a line has, between a blank on either side.
func (l Look) Room() int { return max(l.Width-2, 1) }

// Fill puts lines into a text that scrolls, which stays no further down than its end; the keys act where there is more than fits.
func Fill(text *viewport.Model, lines []string, up, down *key.Binding) {
	text.SetContent(strings.Join(lines, "\n"))
	text.SetYOffset(text.YOffset)
	scrolls := len(lines) > text.Height
	up.SetEnabled(scrolls)
	down.SetEnabled(scrolls)
}

// Wrap breaks a text between words, and words that are too long anywhere, into lines no wider than so many columns.
func Wrap(text string, width int) []string {
	return wrap(text, width, func(words []string) []string { return words })
}

// Facts is Wrap of facts with marks between them: no line begins with such a mark, nor with the unit of a number.
func Facts(text string, width int) []string {
	return wrap(text, width, func(words []string) []string { return together(words, width) })
}

// wrap breaks each paragraph between what pieces makes of its words.
func wrap(text string, width int, pieces func(words []string) []string) (lines []string) {
	width = max(width, 1)
	for _, paragraph := range strings.Split(text, "\n") {
		line := ""
		for i, word := range pieces(strings.Split(paragraph, " ")) {
			switch {
			case i == 0:
				line = word
			case lipgloss.Width(line)+1+lipgloss.Width(word) <= width:
				line += " " + word
			default:
				lines, line = append(lines, strings.TrimRight(line, " ")), word
			}
			if lipgloss.Width(line) > width {
				parts := strings.Split(ansi.Hardwrap(line, width, true), "\n")
				last := len(parts) - 1
				lines, line = append(lines, parts[:last]...), parts[last]
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// together are words, of which those that stay together are one, as far as that fits.
func together(words []string, width int) (out []string) {
	for i, word := range words {
		if last := len(out) - 1; i > 0 && (word == "·" || word == "|" || report.IsUnit(words[i-1], word)) && lipgloss.Width(out[last])+1+lipgloss.Width(word) <= width {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

// Hang sets a text in the looks of a role behind a mark, in lines no wider than so many columns; those after the first are drawn in.
func (l Look) Hang(r theme.Role, mark, text string, width int) (out []string) {
	for _, line := range Facts(text, width-lipgloss.Width(mark)) {
		out = append(out, l.Style(r, mark+line))
		mark = strings.Repeat(" ", lipgloss.Width(mark))
	}
	return out
}

// Line is a text of people, harmless and in one line.
func Line(text string) string { return theme.Clean(strings.Join(strings.Fields(text), " ")) }

// Plain is a Line with its signs in ASCII where that is asked for. What people wrote in other letters stays.
func (l Look) Plain(text string) string {
	if l.ASCII {
		text = strings.NewReplacer("→", "->", "−", "-", "–", "-", " · ", " | ").Replace(text)
	}
	return Line(text)
}

// Keys shows keys in as many lines as they need; those that cannot act are left out.
func (l Look) Keys(keys ...key.Binding) (out []string) {
	keys = slices.DeleteFunc(slices.Clone(keys), func(k key.Binding) bool { return !k.Enabled() })
	help, from := l.Theme.Help(l.ASCII), 0
	for to := 1; to <= len(keys); to++ {
		if to == len(keys) || KeysWidth(help, keys[from:to+1]...) > l.Room() {
			out = append(out, help.ShortHelpView(keys[from:to]))
			from = to
		}
	}
	return out
}

// KeysWidth is how many cells wide ShortHelpView writes keys, without writing them.
func KeysWidth(h help.Model, keys ...key.Binding) (wide int) {
	for _, k := range keys {
		if !k.Enabled() {
			continue
		}
		if wide > 0 {
			wide += lipgloss.Width(h.ShortSeparator)
		}
		wide += lipgloss.Width(k.Help().Key + " " + k.Help().Desc)
	}
	return wide
}

// Says is the notice in as many lines as it takes, none without one. Where there is no room for all, its end stays: that says what
// would help.
func (l Look) Says() (out []string) {
	if l.Notice.Text == "" {
		return nil
	}
	out = l.Hang(l.Notice.Role, "", l.Plain(l.Notice.Text), l.Room())
	return out[max(len(out)-max(l.Height-3, 1), 0):]
}

// Foot is the notice or, without one, the keys.
func (l Look) Foot(keys ...key.Binding) []string {
	if says := l.Says(); says != nil {
		return says
	}
	return l.Keys(keys...)
}

// Scrolling is the keys in one line, and whether there is more below what is in sight.
func (l Look) Scrolling(v viewport.Model, keys ...key.Binding) []string {
	keys = slices.DeleteFunc(keys, func(k key.Binding) bool { return !k.Enabled() })
	foot := l.Theme.Help(l.ASCII).ShortHelpView(keys)
	if v.Height > 0 && !v.AtBottom() {
		foot += l.Style(theme.Quiet, "  more below")
	}
	return []string{foot}
}

// Fit makes lines exactly as wide and as many as they should be; a line is indented by a space.
func (l Look) Fit(lines []string, width, height int) string {
	return Fit(lines, width, height, l.ASCII)
}

// Fit is the same of a screen that has no Look.
func Fit(lines []string, width, height int, ascii bool) string {
	out := make([]string, max(height, 0))
	for i := range out {
		line := ""
		if i < len(lines) {
			line = " " + lines[i]
		}
		out[i] = theme.Fill(line, width, ascii)
	}
	return strings.Join(out, "\n")
}

// TooSmall is the whole screen where a terminal is smaller than so many columns and rows.
func (l Look) TooSmall(width, height int) string {
	return l.Page([]string{fmt.Sprintf("%d×%d is too small", l.Width, l.Height), fmt.Sprintf("at least %d×%d", width, height)}, nil, nil)
}

// Page is a frame exactly as large as the terminal: body below head, and at the bottom the foot.
func (l Look) Page(head, body, foot []string) string {
	if l.Width < 1 || l.Height < 1 {
		return ""
	}
	foot = foot[:min(len(foot), l.Height)]
	rows := l.Height - len(foot)
	top := slices.Concat(head, body)
	out := append(make([]string, 0, l.Height), top[:min(len(top), rows)]...)
	for len(out) < rows {
		out = append(out, "")
	}
	return l.Theme.Paint(l.Fit(append(out, foot...), l.Width, l.Height))
}
