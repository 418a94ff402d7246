package source

import (
	"fmt"
	"strings"
)

// Quote writes a basic string of TOML 1.0, in which only quotes, backslashes and control characters are escaped.
// Bytes that are not UTF-8 become the replacement character.
func Quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// QuoteAll writes a list of texts on one line, an empty text for none.
func QuoteAll(items []string) string {
	if len(items) == 0 {
		return ""
	}
	quoted := make([]string, len(items))
	for i, item := range items {
		quoted[i] = Quote(item)
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}
