package theme

import (
	"strings"

	"pullcard/patterns/harmless"
)

// Clean makes text that came from people or files harmless on a terminal, on one line.
func Clean(text string) string { return harmless.Text(text) }

// Typed is what was typed or pasted into a line of text: breaks become blanks, and what cannot be seen is shown. A joiner
// by itself stays; it is a key where names are spelled with it.
func Typed(runes []rune) []rune {
	if len(runes) == 1 && (runes[0] == '\u200c' || runes[0] == '\u200d') {
		return runes
	}
	return []rune(Clean(strings.NewReplacer("\r", " ", "\n", " ", "\t", " ").Replace(string(runes))))
}
