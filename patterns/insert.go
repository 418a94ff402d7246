package patterns

import (
	"strings"

	"pullcard/patterns/source"
)

// insert puts a value in that the file does not have yet: behind the last of those that a layout has before it.
func (e *editor) insert(s *slot) {
	if s.table == "" {
		e.insertLine(s, e.before(s, func(x *source.Entry) bool { return x.Section < 0 && x.Within < 0 && !x.Header }))
		return
	}
	header := e.find(func(x *source.Entry) bool { return x.Header && x.Path == s.table })
	inline := e.find(func(x *source.Entry) bool { return !x.Header && x.Path == s.table })
	dotted := e.find(func(x *source.Entry) bool {
		return x.Section < 0 && x.Within < 0 && strings.HasPrefix(x.Path, s.table+".")
	})
	switch {
	case header >= 0:
		at := e.before(s, func(x *source.Entry) bool { return x.Section == header && !x.Header && x.Within < 0 })
		if at < 0 {
			at = header
		}
		e.insertLine(s, at)
	case inline >= 0:
		e.insertInline(s, inline)
	case dotted >= 0:
		e.insertAfter(dotted, s.path()+" = "+s.value)
	default:
		e.insertTable(s)
	}
}

// before is the last entry of some whose value a layout has before that of a slot, -1 without one.
func (e *editor) before(s *slot, some func(*source.Entry) bool) int {
	at := -1
	for i := range e.want {
		w := &e.want[i]
		if w.path() == s.path() {
			break
		}
		if w.table != s.table {
			continue
		}
		if found := e.find(func(x *source.Entry) bool { return some(x) && x.Path == w.path() }); found >= 0 {
			at = found
		}
	}
	return at
}

// insertLine puts a line of its own behind an entry, or before all others.
func (e *editor) insertLine(s *slot, at int) {
	if at < 0 {
		start := 0
		if len(e.entries) > 0 {
			start = e.lineStart(e.entries[0].All.Start)
		}
		e.splice(source.Range{Start: start, End: start}, s.line(len(s.key), e.eol)+s.comment()+e.eol)
		return
	}
	x := &e.entries[at]
	indent, column := "", len(s.key)
	if !x.Header {
		start := e.lineStart(x.All.Start)
		indent = string(e.data[start:x.All.Start])
		if i := strings.IndexByte(string(e.data[x.All.Start:x.Value.Start]), '='); i > 0 {
			column = i - 1
		}
	} else {
		column = e.widest(s.table)
	}
	e.insertAfter(at, indent+s.line(column, e.eol)+s.comment())
}

func (s *slot) comment() string {
	if s.note == "" {
		return ""
	}
	return "  # " + s.note
}

// widest is the length of the longest key that a table will have.
func (e *editor) widest(table string) int {
	n := 0
	for _, w := range e.want {
		if w.table == table && w.value != "" {
			n = max(n, len(w.key))
		}
	}
	return n
}

// insertAfter puts a line behind the lines of an entry.
func (e *editor) insertAfter(at int, line string) {
	end := e.lineEnd(e.entries[at].All.End)
	if end == len(e.data) && (end == 0 || e.data[end-1] != '\n') {
		e.splice(source.Range{Start: end, End: end}, e.eol+line)
		return
	}
	e.splice(source.Range{Start: end, End: end}, line+e.eol)
}

// insertInline puts a value into an inline table.
func (e *editor) insertInline(s *slot, table int) {
	text := s.key + " = " + s.value
	if at := e.before(s, func(x *source.Entry) bool { return x.Within == table }); at >= 0 {
		end := e.entries[at].All.End
		e.splice(source.Range{Start: end, End: end}, ", "+text)
		return
	}
	start := e.entries[table].Value.Start + 1
	if e.find(func(x *source.Entry) bool { return x.Within == table }) >= 0 {
		text += ","
	}
	e.splice(source.Range{Start: start, End: start}, " "+text+" ")
}

// insertTable puts a table with one value behind the tables that a layout has before it.
func (e *editor) insertTable(s *slot) {
	earlier := map[string]bool{"": true}
	for _, w := range e.want {
		if w.table == s.table {
			break
		}
		earlier[w.table] = true
	}
	at := len(e.entries) - 1
	for i, x := range e.entries {
		if x.Section < 0 || earlier[e.entries[x.Section].Path] {
			at = i
		}
	}
	text := e.eol + "[" + s.table + "]" + e.eol + s.line(e.widest(s.table), e.eol) + s.comment()
	if at < 0 {
		e.data = append(e.data, text...)
		return
	}
	if end := e.lineEnd(e.entries[at].All.End); end < len(e.data) && !e.lineBlank(end) {
		text += e.eol
	}
	e.insertAfter(at, text)
}
