package theme

import (
	"strings"
	"unicode"
)

// Clean makes text that came from people or files harmless on a terminal: control characters and those that turn the
// direction of writing become a replacement character, so that no escape sequence is ever passed on.
func Clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}
