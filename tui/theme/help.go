package theme

import (
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// Help is the line of keys at the foot of a screen in the theme's looks; with ascii in ASCII characters only.
func (t Theme) Help(ascii bool) help.Model {
	h := help.New()
	quiet, text := t.Style(Quiet), t.Style(Text)
	h.Styles.ShortKey, h.Styles.FullKey = text, text
	h.Styles.ShortDesc, h.Styles.FullDesc = quiet, quiet
	h.Styles.ShortSeparator, h.Styles.FullSeparator, h.Styles.Ellipsis = quiet, quiet, quiet
	if ascii {
		h.ShortSeparator, h.Ellipsis = " | ", "..."
	}
	return h
}

// Fill makes a text exactly so many cells wide; what is cut off shows by a sign. It measures again after every space: some
// characters join with the one after them.
func Fill(text string, width int, ascii bool) string {
	cut := "…"
	if ascii {
		cut = "~"
	}
	text = ansi.Truncate(text, width, cut)
	for gap := width - lipgloss.Width(text); gap > 0; gap = width - lipgloss.Width(text) {
		text += strings.Repeat(" ", gap)
	}
	return text
}
