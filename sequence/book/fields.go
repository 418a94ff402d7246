package book

import (
	"encoding/json"
	"strings"
	"unicode/utf8"

	"pullcard/sequence/records"
)

// readFields is what the text of a record says. A page reads hundreds of them, and nearly all are plain.
func readFields(body []byte) (f records.Fields, err error) {
	if f, ok := plainFields(body); ok {
		return f, nil
	}
	err = json.Unmarshal(body, &f)
	return f, err
}

// plainFields reads {"key":"text","key":"text"}; ok is false for whatever else is there, and a key that comes twice is the last.
func plainFields(body []byte) (f records.Fields, ok bool) {
	text := plainText(body)
	f = make(records.Fields, strings.Count(string(text), `":"`)) // a map that grows costs more than the rest
	ok = utf8.Valid(body) && text.pairs(func(key string) bool {
		said, ok := text.quoted()
		f[key] = said
		return ok
	})
	return f, ok && text == ""
}
