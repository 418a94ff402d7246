package patterns

import (
	"strings"
	"unicode/utf8"

	"pullcard/patterns/source"
)

// widest is the longest line, in characters, in which a list stays on one line.
const widest = 100

// WriteLayout writes a layout file that says what a card says, as a person would: keys aligned, a table for each thing,
// short words where a key needs them. Origin goes on top as a comment, where the values come from; empty leaves it away.
// The five values that every layout has are written even where they are empty, so that ReadLayout says what is missing
// at its place. ReadCard of the file gives the card back.
func WriteLayout(c Card, origin string) []byte {
	var b strings.Builder
	for _, line := range strings.Split(origin, "\n") {
		if line = plainLine(line); line != "" {
			b.WriteString("# " + line + "\n")
		}
	}
	slots := c.slots()
	for i := 0; i < len(slots); {
		end := i
		for end < len(slots) && slots[end].block == slots[i].block {
			end++
		}
		b.WriteString(block(slots[i:end], "\n"))
		i = end
	}
	return []byte(b.String())
}

// plainLine takes out what may not stand in a comment.
func plainLine(line string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < 0x20 || r == 0x7f || r == utf8.RuneError {
			return ' '
		}
		return r
	}, line))
}

// block writes the slots of one block, after a blank line and its header; nothing where all are left away.
func block(slots []slot, eol string) string {
	keys, notes := 0, 0
	for _, s := range slots {
		if s.value != "" {
			keys = max(keys, len(s.key))
		}
	}
	if keys == 0 {
		return ""
	}
	lines := make([]string, len(slots))
	for i, s := range slots {
		lines[i] = s.line(keys, eol)
		if s.note != "" && s.value != "" && !strings.Contains(lines[i], "\n") {
			notes = max(notes, utf8.RuneCountInString(lines[i]))
		}
	}
	var b strings.Builder
	switch {
	case slots[0].block == listBlock:
		b.WriteString(eol + "# mains from the centre outwards, crosses from the head down" + eol)
	case slots[0].table != "":
		b.WriteString(eol + "[" + slots[0].table + "]" + eol)
	}
	for i, s := range slots {
		if s.value == "" {
			continue
		}
		b.WriteString(lines[i])
		if s.note != "" {
			b.WriteString(strings.Repeat(" ", max(notes-utf8.RuneCountInString(lines[i]), 0)) + "  # " + s.note)
		}
		b.WriteString(eol)
	}
	return b.String()
}

// line is a key and its value, the equals sign in a column; a list that would be too long has a line for every ten.
func (s *slot) line(column int, eol string) string {
	key := s.key + strings.Repeat(" ", max(column-len(s.key), 0))
	return key + " = " + s.fitted(len(key)+3, eol)
}

// fitted is the value, on lines of its own where it does not fit behind so many characters.
func (s *slot) fitted(before int, eol string) string {
	if before+len(s.value) <= widest || len(s.list) == 0 {
		return s.value
	}
	const each = 10
	var b strings.Builder
	b.WriteString("[" + eol)
	for i := 0; i < len(s.list); i += each {
		row := source.QuoteAll(s.list[i:min(i+each, len(s.list))])
		b.WriteString("  " + row[1:len(row)-1] + "," + eol)
	}
	b.WriteString("]")
	return b.String()
}
