package source

import (
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Range is a stretch of a file in bytes: from Start up to, not including, End.
type Range struct{ Start, End int }

// Entry is a key with its value, or the header of a table, as it stands in the bytes of a file.
type Entry struct {
	// Path is the key with its tables, "tie.mains", or the table that a header names.
	Path string
	// Header is true for [tie]; then there is no value.
	Header bool
	// Section is the index of the header under which the entry stands, -1 before the first one. A header's is its own.
	Section int
	// Within is the index of the entry whose inline table holds this one, -1 where none does.
	Within int
	// Pos is where the entry begins, for comparison with the place of a problem.
	Pos
	// All runs from the key to the end of the value, or over the name in a header.
	All Range
	// Value is the value alone.
	Value Range
	// List is true where the value is a list; Items are its members.
	List  bool
	Items []Item
}

// Item is a member of a list; Text is what a text says, and of other members the bytes.
type Item struct {
	Range
	Text string
}

// Entries lists the keys and headers of a file in the order in which they stand there, with their places in bytes, for
// whoever wants to change a value and nothing else. The bytes must be such as Read accepts; of others the list ends
// where they cease to be TOML.
func Entries(data []byte) []Entry {
	l := entryList{data: data, lines: lineStarts(data), section: -1}
	l.parser.Reset(data)
	table := ""
	for l.parser.NextExpression() {
		e := l.parser.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, at := l.key("", e.Key())
			table, l.section = path, len(l.out)
			l.add(Entry{Path: path, Header: true, Within: -1, All: at})
		case unstable.KeyValue:
			l.keyValue(table, e, -1)
		}
	}
	return l.out
}

type entryList struct {
	parser  unstable.Parser
	data    []byte
	lines   []int
	section int
	out     []Entry
}

func (l *entryList) add(e Entry) {
	e.Section, e.Pos = l.section, place(l.data, l.lines, e.All.Start)
	l.out = append(l.out, e)
}

// key joins the parts of a key and says where it stands. A part with a dot in it is put in quotes.
func (l *entryList) key(table string, it unstable.Iterator) (path string, at Range) {
	at.Start = -1
	for it.Next() {
		raw, part := span(it.Node().Raw), string(it.Node().Data)
		if at.Start < 0 {
			at.Start = raw.Start
		}
		at.End = raw.End
		if strings.Contains(part, ".") {
			part = strconv.Quote(part)
		}
		if table = table + "." + part; table[0] == '.' {
			table = table[1:]
		}
	}
	return table, at
}

func span(r unstable.Range) Range { return Range{int(r.Offset), int(r.Offset + r.Length)} }

func (l *entryList) keyValue(table string, n *unstable.Node, within int) {
	path, at := l.key(table, n.Key())
	e := Entry{Path: path, Within: within, All: span(n.Raw)}
	for e.Value = (Range{at.End, e.All.End}); l.data[e.Value.Start] == '=' || l.data[e.Value.Start] == ' ' || l.data[e.Value.Start] == '\t'; {
		e.Value.Start++
	}
	v := n.Value()
	if v.Kind == unstable.Array {
		e.List = true
		for it := v.Children(); it.Next(); {
			raw := span(it.Node().Raw)
			e.Items = append(e.Items, Item{raw, l.text(it.Node(), raw)})
		}
	}
	l.add(e)
	if v.Kind == unstable.InlineTable {
		at := len(l.out) - 1
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				l.keyValue(path, it.Node(), at)
			}
		}
	}
}

func (l *entryList) text(n *unstable.Node, at Range) string {
	if n.Kind == unstable.String {
		return string(n.Data)
	}
	return string(l.data[at.Start:at.End])
}
