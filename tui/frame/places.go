package frame

import (
	"strings"

	"pullcard/patterns/source"
)

// places finds the field that a problem of a file belongs to.
type places struct {
	entries []source.Entry
	fields  map[string]id
}

func newPlaces(text []byte) places {
	p := places{source.Entries(text), map[string]id{}}
	for f, x := range form() {
		for _, path := range x.paths {
			if _, there := p.fields[path]; !there {
				p.fields[path] = id(f)
			}
		}
	}
	return p
}

func (p places) field(problem source.Problem) (id, bool) {
	if path, _, ok := strings.Cut(problem.Text, " is missing; write "); ok {
		f, ok := p.fields[path]
		return f, ok
	}
	path := ""
	for _, e := range p.entries {
		if e.Line > problem.Line || e.Line == problem.Line && e.Col > problem.Col && problem.Col > 1 {
			break
		}
		path = e.Path
	}
	f, ok := p.fields[path]
	if f == fSkipHead && strings.Contains(hole(problem.Text), "T") {
		f = fSkipThroat
	}
	return f, ok
}

// hole is what follows the key in words like "skip: 7T is skipped".
func hole(text string) string {
	_, rest, _ := strings.Cut(text, ": ")
	word, _, _ := strings.Cut(rest, " ")
	return word
}
