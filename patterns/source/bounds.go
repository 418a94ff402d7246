package source

import (
	"bytes"
	"fmt"
)

// What is beyond these is no card that somebody wrote, and would take far more memory to read than it is long.
const (
	deepest    = 16  // tables, lists and parts of dotted names within each other
	longestKey = 200 // bytes of a name with its dots, of a key or a table
)

// beyond looks through a file before it is parsed and says where it goes deeper than anything that is read, or has too long
// a name. A file that is no TOML may pass; the parser says what is wrong with it.
func beyond(data []byte) (at int, text string) {
	s := scan{data: data, naming: true}
	for s.at < len(data) && s.text == "" {
		s.step()
	}
	return s.where, s.text
}

// scan is how far the looking through has come.
type scan struct {
	data   []byte
	at     int
	open   []level // brackets and braces
	dots   int     // in what is read
	depth  int     // open levels and the dots before them
	naming bool    // a name is read, no value
	from   int     // where it began
	where  int
	text   string
}

// level is an open bracket or brace, and how many dots the name before it has.
type level struct {
	kind byte
	dots int
}

func (s *scan) step() {
	c := s.data[s.at]
	switch c {
	case '#':
		s.skip("\n", false)
		return
	case '"', '\'':
		s.quoted(c)
		return
	case '[', '{':
		s.open = append(s.open, level{c, s.dots})
		s.depth += 1 + s.dots
		s.begin(c == '{' || s.naming)
	case ']', '}':
		s.ends()
		if n := len(s.open); n > 0 {
			s.depth -= 1 + s.open[n-1].dots
			s.open = s.open[:n-1]
		}
		s.naming = false
	case '.':
		s.dots++
	case '=':
		s.ends()
		s.naming = false
	case ',':
		s.begin(len(s.open) > 0 && s.open[len(s.open)-1].kind == '{')
	case '\n':
		s.begin(len(s.open) == 0)
	}
	s.at++
	if s.depth+s.dots > deepest {
		s.tell(s.at-1, "this goes deeper than %d tables and lists within each other; write it flat", deepest)
	}
}

// begin begins something new, a name or a value.
func (s *scan) begin(naming bool) { s.dots, s.naming, s.from = 0, naming, s.at+1 }

// ends is where a name ends.
func (s *scan) ends() {
	if s.naming && s.at-s.from > longestKey {
		s.tell(s.from, "a name of %d bytes; no key is longer than %d", s.at-s.from, longestKey)
	}
}

func (s *scan) tell(at int, format string, args ...any) {
	if s.text == "" {
		s.where, s.text = at, fmt.Sprintf(format, args...)
	}
}

// quoted passes over a text in quotes, of one line or of several.
func (s *scan) quoted(quote byte) {
	escapes := quote == '"'
	if three := bytes.Repeat([]byte{quote}, 3); bytes.HasPrefix(s.data[s.at:], three) {
		s.at += 3
		s.skip(string(three), escapes)
		s.at += 3
		return
	}
	s.at++
	for ; s.at < len(s.data) && s.data[s.at] != quote && s.data[s.at] != '\n'; s.at++ {
		if escapes && s.data[s.at] == '\\' {
			s.at++
		}
	}
	if s.at < len(s.data) && s.data[s.at] == quote {
		s.at++
	}
}

// skip goes to the next place of what ends something, or to the end.
func (s *scan) skip(end string, escapes bool) {
	for s.at < len(s.data) && !bytes.HasPrefix(s.data[s.at:], []byte(end)) {
		if escapes && s.data[s.at] == '\\' {
			s.at++
		}
		s.at++
	}
}
