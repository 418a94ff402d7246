// Package harmless writes text that came from people, files and other benches so that nothing which reads it obeys it:
// neither a terminal nor a spreadsheet nor a person who cannot see what is there. Whatever leaves the program goes through
// it: Text on screens and in print, XML in pictures, WriteJSON for scripts, WriteCSV for tables.
package harmless

import (
	"fmt"
	"strings"
	"unicode"
)

// Text shows every character that cannot be seen as its number, as <U+200B>: control characters, those that turn the
// direction of writing, that have no width or carry tags. The rest stays, and so do the joiners between letters of scripts
// that are written with them, and the choice of how a symbol looks. The result has one line and no invalid bytes.
func Text(text string) string { return show(text, "") }

// Page is Text for text of several lines: breaks of lines and tabs stay.
func Page(text string) string { return show(strings.ReplaceAll(text, "\r\n", "\n"), "\n\t") }

func show(text, keep string) string {
	text = strings.ToValidUTF8(text, string(unicode.ReplacementChar))
	if !strings.ContainsFunc(text, hidden) {
		return text
	}
	var b strings.Builder
	var before rune
	for i, r := range text {
		if hidden(r) && !strings.ContainsRune(keep, r) && !serves(before, text[i:]) {
			b.WriteString(number(r))
		} else {
			b.WriteRune(r)
		}
		before = r
	}
	return b.String()
}

// number is how the Unicode standard names a character, in angle brackets.
func number(r rune) string { return fmt.Sprintf("<U+%04X>", r) }

// hidden says whether a character is obeyed or swallowed instead of shown. Those without a picture are the standard's
// Default_Ignorable_Code_Point, section 5.21: formats but for the signs that stand before Arabic and Kaithi numbers,
// selectors of variants, fillers.
func hidden(r rune) bool {
	if ' ' <= r && r <= '~' { // nearly every one, and the tables take their time
		return false
	}
	return unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point) ||
		unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r) ||
		0xe0000 <= r && r <= 0xe0fff // tags, and the room that is kept for more of them
}

// serves says whether the hidden character at the head of rest can be seen by what it does to its neighbours: a joiner
// between letters of a joining script, as names in it are spelled (Unicode Standard Annex 31, section 2.3), or the choice
// between the plain and the coloured look of a symbol.
func serves(before rune, rest string) bool {
	runes := []rune(rest[:min(len(rest), 8)])
	switch r := runes[0]; {
	case r == '\u200c' || r == '\u200d':
		return len(runes) > 1 && joins(before) && joins(runes[1])
	case r == '\ufe0e' || r == '\ufe0f':
		return unicode.Is(unicode.So, before)
	}
	return false
}

func joins(r rune) bool {
	return (unicode.IsLetter(r) || unicode.IsMark(r)) && unicode.In(r, unicode.Arabic, unicode.Syriac, unicode.Nko, unicode.Mongolian,
		unicode.Devanagari, unicode.Bengali, unicode.Gurmukhi, unicode.Gujarati, unicode.Oriya, unicode.Tamil, unicode.Telugu,
		unicode.Kannada, unicode.Malayalam, unicode.Sinhala, unicode.Khmer, unicode.Myanmar)
}
