package screen

import (
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/theme"
)

// Help is what a screen tells of itself where somebody asks for it: what it is for, and its keys. A screen that tells nothing is
// handed the key.
type Help struct {
	Text string
	Keys []key.Binding
	// Empty says that a line waits for text and nothing was typed into it yet, so that a question mark asks too.
	Empty bool
}

// Help tells nothing.
func (l Look) Help() Help { return Help{} }

// Asks is the key that asks for help, for a foot.
func (l Look) Asks() key.Binding { return key.NewBinding(key.WithKeys("?"), key.WithHelp("?", "keys")) }

// Page is a page of a screen's help as a whole screen, the first one 1, and whether there is another after it.
func (h Help) Page(l Look, n int) (frame string, more bool) {
	body := append(l.Hang(theme.Text, "", h.Text, l.Room()), "")
	width := 0
	for _, k := range h.Keys {
		width = max(width, lipgloss.Width(k.Help().Key))
	}
	for _, k := range h.Keys {
		if k.Help().Key != "" && k.Help().Desc != "" {
			body = append(body, l.Hang(theme.Text, theme.Fill(k.Help().Key, width+2, l.ASCII), k.Help().Desc, l.Room())...)
		}
	}
	rows := max(l.Height-3, 1)
	body = body[min(rows*(n-1), len(body)):]
	foot := key.NewBinding(key.WithKeys("any"), key.WithHelp("any key", "back"))
	if more = len(body) > rows; more {
		body = body[:rows]
		foot.SetHelp("any key", "more")
	}
	return l.Page([]string{l.Style(theme.Title, "pullcard") + l.Style(theme.Quiet, "  keys"), ""}, body, l.Keys(foot)), more
}
