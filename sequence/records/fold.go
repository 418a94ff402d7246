package records

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Fold brings text into the form in which letters are compared: without case, accents and spaces at the ends, so that
// "zoe" finds "Zoë".
func Fold(text string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(norm.NFKD.String(cases.Fold().String(norm.NFKD.String(text)))) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.TrimSpace(b.String())
}
