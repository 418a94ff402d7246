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
	if strings.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) < 0 { // as most names are
		return strings.TrimSpace(strings.ToLower(text))
	}
	var b strings.Builder
	for _, r := range strings.ToLower(norm.NFKD.String(cases.Fold().String(norm.NFKD.String(text)))) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.TrimSpace(b.String())
}
