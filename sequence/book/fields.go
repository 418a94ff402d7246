package book

import (
	"encoding/json"
	"strings"
	"unicode/utf8"

	"pullcard/sequence/records"
)

// readFields is what the text of a record says. A page reads hundreds of them, and nearly all are plain.
func readFields(body []byte) (f records.Fields, err error) {
	if f, ok := plainFields(string(body)); ok {
		return f, nil
	}
	err = json.Unmarshal(body, &f)
	return f, err
}

// plainFields reads {"key":"text","key":"text"} as the book writes it; ok is false for whatever else JSON may be, and for letters that are
// written by their number.
func plainFields(text string) (f records.Fields, ok bool) {
	if !utf8.ValidString(text) {
		return nil, false
	}
	f = records.Fields{}
	for before := `{"`; text != "}"; before = `,"` {
		var key, said string
		if key, text, ok = quoted(text, before); ok {
			said, text, ok = quoted(text, `:"`)
		}
		if !ok {
			return nil, false
		}
		f[key] = said
	}
	return f, ok
}

// quoted is the string at the beginning of a text, whose quote is the end of before, and what comes after it.
func quoted(text, before string) (said, rest string, ok bool) {
	text, ok = strings.CutPrefix(text, before)
	var b strings.Builder // what stands up to the last escape
	for i := 0; ok && i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			return b.String() + text[:i], text[i+1:], true // nothing is copied where nothing was escaped
		case c == '\\' && i+1 < len(text):
			n := strings.IndexByte(`"\/bfnrt`, text[i+1])
			if n < 0 {
				return "", "", false
			}
			b.WriteString(text[:i])
			b.WriteByte("\"\\/\b\f\n\r\t"[n])
			text, i = text[i+2:], -1
		case c < ' ':
			return "", "", false
		}
	}
	return "", "", false
}
