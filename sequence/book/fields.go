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

// plainFields reads {"key":"text","key":"text"} without escapes, as the book writes it; ok is false for whatever else JSON may be.
func plainFields(text string) (f records.Fields, ok bool) {
	if strings.ContainsFunc(text, func(r rune) bool { return r == '\\' || r < ' ' || r == utf8.RuneError }) {
		return nil, false
	}
	parts := strings.Split(text, `"`)
	n := len(parts) / 4
	f = make(records.Fields, n)
	before := "{"
	for i := range n {
		p := parts[4*i:]
		if p[0] != before || p[2] != ":" {
			return nil, false
		}
		f[p[1]], before = p[3], ","
	}
	return f, n > 0 && len(parts) == 4*n+1 && parts[4*n] == "}"
}
