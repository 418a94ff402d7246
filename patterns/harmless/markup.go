package harmless

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
)

// XML is Text as the content of an element or an attribute.
func XML(text string) string {
	var b strings.Builder
	// A strings.Builder takes every byte.
	_ = xml.EscapeText(&b, []byte(Text(text)))
	return b.String()
}

// WriteJSON writes a value as JSON and a line's end; indent, which may be empty, is what each level is drawn in by.
func WriteJSON(w io.Writer, v any, indent string) error {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(EscapeJSON([]byte(b.String())))
	return err
}

// EscapeJSON is the same JSON with every hidden character as \u and its number, so that it says the same to who reads it
// and nothing to a terminal on the way. What is escaped already stays.
func EscapeJSON(text []byte) []byte {
	if !strings.ContainsFunc(string(text), escaped) {
		return text
	}
	var b strings.Builder
	for _, r := range string(text) {
		switch hi, lo := utf16.EncodeRune(r); {
		case !escaped(r):
			b.WriteRune(r)
		case r > 0xffff:
			fmt.Fprintf(&b, `\u%04x\u%04x`, hi, lo)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return []byte(b.String())
}

// escaped says whether JSON shows a character by its number. Spaces and breaks of lines are its own.
func escaped(r rune) bool { return hidden(r) && r != '\n' && r != '\t' && r != '\r' }
