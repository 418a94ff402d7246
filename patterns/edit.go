package patterns

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"pullcard/patterns/source"
)

// EditLayout changes a layout file so that it says what a card says. Only the values that differ are touched: every
// comment stays, in its order, and so does every line of another value, byte for byte. A value that is new comes where
// WriteLayout would have it; one that is left away goes with its line, but for a comment there. File is the name in
// messages. The error is a source.Problems where the file is no TOML, or where it is written in a way that cannot be
// changed piecemeal.
func EditLayout(file string, data []byte, c Card) ([]byte, error) {
	old, err := ReadCard(file, data)
	if err != nil {
		return nil, err
	}
	e := newEditor(data)
	e.want = c.slots()
	have := old.slots()
	for i := range e.want {
		if e.want[i].value != have[i].value {
			e.change(&e.want[i])
		}
	}
	now, err := ReadCard(file, e.data)
	if err != nil {
		return nil, notPiecemeal(file, "the file")
	}
	for i, s := range now.slots() {
		if s.value != e.want[i].value {
			return nil, notPiecemeal(file, s.path())
		}
	}
	return e.data, nil
}

// EditValue changes one value in a file of TOML, and the remark at the end of its line, likewise: an empty value goes with its line. The
// value is as TOML writes it, path a key with its tables; order are the paths in the order in which such a file has them.
func EditValue(file string, data []byte, order []string, path, value, remark string) ([]byte, error) {
	e := newEditor(data)
	for _, p := range order {
		at := strings.LastIndexByte(p, '.')
		e.want = append(e.want, slot{table: p[:max(at, 0)], key: p[at+1:]})
		if p == path {
			e.want[len(e.want)-1].value = value
		}
	}
	at := slices.IndexFunc(e.want, func(s slot) bool { return s.path() == path })
	if source.Remarks(data)[path] != remark {
		e.remark(path, "")
	}
	e.entries = source.Entries(e.data)
	if value != "" || e.find(func(x *source.Entry) bool { return x.Path == path && !x.Header }) >= 0 {
		e.change(&e.want[at])
	}
	if value != "" && source.Remarks(e.data)[path] != remark {
		e.remark(path, remark)
	}
	if _, err := source.Read(file, e.data); err != nil {
		return nil, notPiecemeal(file, path)
	}
	e.entries = source.Entries(e.data)
	found := e.find(func(x *source.Entry) bool { return x.Path == path && !x.Header })
	if is := found >= 0; is != (value != "") || is && (string(e.data[e.entries[found].Value.Start:e.entries[found].Value.End]) != value || source.Remarks(e.data)[path] != remark) {
		return nil, notPiecemeal(file, path)
	}
	return e.data, nil
}

// remark puts a remark at the end of the line on which a value ends, in the place of the one there.
func (e *editor) remark(path, text string) {
	e.entries = source.Entries(e.data)
	at := e.find(func(x *source.Entry) bool { return !x.Header && x.Path == path && x.Within < 0 })
	if at < 0 {
		return
	}
	start := e.entries[at].All.End
	end := start + len(strings.TrimRight(string(e.data[start:e.lineEnd(start)]), "\r\n"))
	if text = plainLine(text); text != "" {
		text = "  # " + text
	}
	e.splice(source.Range{Start: start, End: end}, text)
}

func notPiecemeal(file, what string) error {
	return source.Problems{{File: file, Text: fmt.Sprintf("%s is written in a way that cannot be changed from here; change it in the file", what)}}
}

// editor changes a file value by value; the places are found anew after every change.
type editor struct {
	data    []byte
	want    []slot
	eol     string
	entries []source.Entry
}

func newEditor(data []byte) editor {
	e := editor{data: bytes.Clone(data), eol: "\n"}
	if bytes.Contains(data, []byte("\r\n")) {
		e.eol = "\r\n"
	}
	return e
}

func (e *editor) change(s *slot) {
	e.entries = source.Entries(e.data)
	at := e.find(func(x *source.Entry) bool { return !x.Header && x.Path == s.path() })
	switch {
	case at < 0:
		e.insert(s)
	case e.entries[at].List && e.comments(e.entries[at].Value):
		e.members(s.path(), s.list)
	case s.value == "":
		e.remove(at)
	default:
		e.replace(&e.entries[at], s)
	}
}

// find is the index of the first entry of a kind, -1 without one.
func (e *editor) find(is func(*source.Entry) bool) int {
	for i := range e.entries {
		if is(&e.entries[i]) {
			return i
		}
	}
	return -1
}

// splice puts text in the place of a stretch.
func (e *editor) splice(r source.Range, text string) {
	e.data = slices.Concat(e.data[:r.Start], []byte(text), e.data[r.End:])
}

// comments says whether a comment stands in a list. The holes and units of a layout have no sharp sign, so one that
// stands in a text only costs the shorter way.
func (e *editor) comments(r source.Range) bool {
	return bytes.IndexByte(e.data[r.Start:r.End], '#') >= 0
}

// replace changes a value; a comment behind it stays in its column where there is room.
func (e *editor) replace(x *source.Entry, s *slot) {
	text := s.fitted(e.column(x.Value.Start), e.eol)
	if bytes.IndexByte(e.data[x.Value.Start:x.Value.End], '\n') >= 0 || strings.Contains(text, "\n") {
		e.splice(x.Value, text)
		return
	}
	end := e.skipBlanks(x.Value.End)
	blanks := end - x.Value.End
	if blanks > 0 && end < len(e.data) && e.data[end] == '#' {
		longer := utf8.RuneCountInString(text) - utf8.RuneCount(e.data[x.Value.Start:x.Value.End])
		e.splice(source.Range{Start: x.Value.Start, End: end}, text+strings.Repeat(" ", max(blanks-longer, min(blanks, 2))))
		return
	}
	e.splice(x.Value, text)
}

// column is how many characters stand before a place on its line.
func (e *editor) column(at int) int { return utf8.RuneCount(e.data[e.lineStart(at):at]) }

func (e *editor) lineStart(at int) int { return bytes.LastIndexByte(e.data[:at], '\n') + 1 }

// lineEnd is the place behind the newline that ends a line, or the end of the file.
func (e *editor) lineEnd(at int) int {
	if i := bytes.IndexByte(e.data[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(e.data)
}

func (e *editor) skipBlanks(at int) int {
	for at < len(e.data) && (e.data[at] == ' ' || e.data[at] == '\t') {
		at++
	}
	return at
}

// remove takes an entry out with its line, but for a comment on it; and a table's header when nothing is left below it.
func (e *editor) remove(at int) {
	x := e.entries[at]
	if x.Within >= 0 {
		e.removeInline(at)
		return
	}
	e.cutLines(x.All)
	if x.Section < 0 {
		return
	}
	e.entries = source.Entries(e.data)
	header := e.entries[x.Section]
	if e.find(func(o *source.Entry) bool { return o.Section == x.Section && !o.Header }) >= 0 {
		return
	}
	e.cutLines(source.Range{Start: e.lineStart(header.All.Start), End: e.skipBlanks(header.All.End) + 1})
}

// cutLines takes out the lines of a stretch but leaves the comment behind it, and closes the gap between blank lines.
func (e *editor) cutLines(r source.Range) {
	start, end := e.lineStart(r.Start), e.skipBlanks(r.End)
	if end < len(e.data) && e.data[end] == '#' {
		e.splice(source.Range{Start: r.Start, End: end}, "")
		return
	}
	e.splice(source.Range{Start: start, End: e.lineEnd(r.End)}, "")
	before := start > 0 && e.lineBlank(e.lineStart(start-1))
	if before && (start == len(e.data) || e.lineBlank(start)) {
		e.splice(source.Range{Start: e.lineStart(start - 1), End: start}, "")
	}
}

// lineBlank says whether nothing stands on the line that begins at a place.
func (e *editor) lineBlank(at int) bool { return len(bytes.TrimSpace(e.data[at:e.lineEnd(at)])) == 0 }

// removeInline takes an entry out of an inline table, and the whole table when it was the only one.
func (e *editor) removeInline(at int) {
	within := e.entries[at].Within
	var all []source.Range
	which := 0
	for i, x := range e.entries {
		if x.Within == within {
			if i == at {
				which = len(all)
			}
			all = append(all, x.All)
		}
	}
	if len(all) == 1 && !e.comments(e.entries[within].All) {
		e.remove(within)
		return
	}
	e.cutMember(all, which)
}

// cutMember takes one of several things between commas out, with one comma.
func (e *editor) cutMember(all []source.Range, i int) {
	cut := all[i]
	comma := e.comma(cut.End)
	switch {
	case comma >= 0 && e.onlyBlanks(cut.End, comma):
		cut.End = e.skipBlanks(comma + 1)
		if cut.End < len(e.data) && strings.IndexByte("\r\n#", e.data[cut.End]) >= 0 {
			cut.End = comma + 1
		}
	case comma >= 0:
		e.splice(source.Range{Start: comma, End: comma + 1}, "")
	case i > 0:
		comma = e.comma(all[i-1].End)
		if e.onlyBlanks(comma+1, cut.Start) {
			cut.Start = comma
			break
		}
		e.splice(cut, "")
		e.dropLine(cut.Start)
		e.splice(source.Range{Start: comma, End: comma + 1}, "")
		return
	}
	e.splice(cut, "")
	e.dropLine(cut.Start)
}

// dropLine takes out the line of a place when nothing is left on it.
func (e *editor) dropLine(at int) {
	if start := e.lineStart(at); e.lineBlank(start) {
		e.splice(source.Range{Start: start, End: e.lineEnd(at)}, "")
	}
}

// comma is the place of the comma that follows a member, -1 when the list ends first.
func (e *editor) comma(at int) int {
	for at < len(e.data) {
		switch e.data[at] {
		case ',':
			return at
		case ' ', '\t', '\r', '\n':
			at++
		case '#':
			at = e.lineEnd(at)
		default:
			return -1
		}
	}
	return -1
}

func (e *editor) onlyBlanks(from, to int) bool { return e.skipBlanks(from) >= to }

// members changes a list with comments in it member by member.
func (e *editor) members(path string, want []string) {
	for rounds := 0; ; rounds++ {
		e.entries = source.Entries(e.data)
		at := e.find(func(x *source.Entry) bool { return !x.Header && x.Path == path })
		// A round takes a member out, or makes one more right.
		if at < 0 || rounds > len(e.entries[at].Items)+len(want) || !e.member(&e.entries[at], want) {
			return
		}
	}
}

// member makes one change to a list and says whether there was one to make.
func (e *editor) member(x *source.Entry, want []string) bool {
	have := x.Items
	same := 0
	for same < min(len(have), len(want)) && have[same].Text == want[same] {
		same++
	}
	last := 0
	for last < min(len(have), len(want))-same && have[len(have)-1-last].Text == want[len(want)-1-last] {
		last++
	}
	switch {
	case same == len(have) && same == len(want):
		return false
	case same+last == len(have) && same == 0: // one more before the first
		text := source.Quote(want[0])
		if len(have) > 0 {
			text += ", "
		}
		e.splice(source.Range{Start: x.Value.Start + 1, End: x.Value.Start + 1}, text)
	case same+last == len(have):
		end := have[same-1].End
		e.splice(source.Range{Start: end, End: end}, ", "+source.Quote(want[same]))
	case have[same].End <= have[same].Start:
		return false // no member that a layout could have
	case same+last == len(want):
		all := make([]source.Range, len(have))
		for i := range have {
			all[i] = have[i].Range
		}
		e.cutMember(all, same)
	default:
		e.splice(have[same].Range, source.Quote(want[same]))
	}
	return true
}
