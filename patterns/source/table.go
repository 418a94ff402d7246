package source

import (
	"cmp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Table is a table of a file. A getter returns the value and notes a problem where the value is of another kind; a key
// that is absent gives a zero value whose place is that of the table.
type Table struct {
	doc    *Doc
	at     Pos
	path   string
	values map[string]*value
	order  []string
	asked  map[string]bool
}

type value struct {
	at    Pos // of the key
	pos   Pos // of the value
	kind  unstable.Kind
	text  string
	list  []*value
	table *Table
	many  bool // an array of tables
}

// Text is a text with its place; Given is false where the key is absent.
type Text struct {
	Pos
	Value string
	Given bool
}

// Int is a whole number with its place.
type Int struct {
	Pos
	Value int
	Given bool
}

// Float is a number with its place.
type Float struct {
	Pos
	Value float64
	Given bool
}

// Bool is a yes or no with its place.
type Bool struct {
	Pos
	Value bool
	Given bool
}

// List is a list of texts with its place.
type List struct {
	Pos
	Items []Text
	Given bool
}

func newTable(d *Doc, at Pos, path string) *Table {
	return &Table{doc: d, at: at, path: path, values: map[string]*value{}, asked: map[string]bool{}}
}

// Pos is the place of the table's name.
func (t *Table) Pos() Pos { return t.at }

func (t *Table) join(key string) string {
	if strings.Trim(key, bare) != "" || key == "" {
		key = strconv.Quote(key)
	}
	if t.path == "" {
		return key
	}
	return t.path + "." + key
}

// bare are the characters of a key that needs no quotes.
const bare = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-"

func (t *Table) set(key string, v *value) {
	if _, there := t.values[key]; !there {
		t.order = append(t.order, key)
	}
	t.values[key] = v
}

func (t *Table) child(key string, at Pos, many bool) *Table {
	if v := t.values[key]; v != nil && v.table != nil {
		return v.table
	}
	v := &value{at: at, pos: at, kind: unstable.Table, table: newTable(t.doc, at, t.join(key)), many: many}
	t.set(key, v)
	return v.table
}

// put adds a key and its value, whose key may be dotted.
func (t *Table) put(e *unstable.Node, at func(unstable.Range, Pos) Pos) {
	place := t.at
	for it := e.Key(); it.Next(); {
		key := string(it.Node().Data)
		place = at(it.Node().Raw, place)
		if it.IsLast() {
			t.set(key, t.read(e.Value(), key, place, at))
			return
		}
		t = t.child(key, place, false)
	}
}

func (t *Table) read(n *unstable.Node, key string, place Pos, at func(unstable.Range, Pos) Pos) *value {
	v := &value{at: place, pos: at(n.Raw, place), kind: n.Kind}
	switch n.Kind {
	case unstable.Array:
		for it := n.Children(); it.Next(); {
			if it.Node().Kind != unstable.Comment {
				v.list = append(v.list, t.read(it.Node(), key, v.pos, at))
			}
		}
	case unstable.InlineTable:
		v.table = newTable(t.doc, place, t.join(key))
		for it := n.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				v.table.put(it.Node(), at)
			}
		}
	default:
		v.text = string(n.Data)
	}
	return v
}

// get marks a key as known and returns its value, or nil.
func (t *Table) get(key string) *value {
	t.asked[key] = true
	return t.values[key]
}

func (t *Table) wrong(key string, v *value, right string) {
	t.doc.Problem(v.pos, "%s is not of the right kind; write %s", t.join(key), right)
}

// Missing notes that a key is absent; example shows what to write.
func (t *Table) Missing(key, example string) {
	t.doc.Problem(t.at, "%s is missing; write %s = %s", t.join(key), key, example)
}

// Has says whether a key is there, without asking for it.
func (t *Table) Has(key string) bool { return t.values[key] != nil }

// IsTable says whether a key is there and is a table, without asking for it.
func (t *Table) IsTable(key string) bool { return t.Has(key) && t.values[key].table != nil }

// Keys are the keys of a table whose keys are not known beforehand, in the order of the file. They are not asked for.
func (t *Table) Keys() []Text {
	out := make([]Text, len(t.order))
	for i, key := range t.order {
		out[i] = Text{t.values[key].at, key, true}
	}
	return out
}

// Text reads a text.
func (t *Table) Text(key string) Text {
	v := t.get(key)
	if v == nil {
		return Text{Pos: t.at}
	}
	if v.kind != unstable.String {
		t.wrong(key, v, `a text in quotes`)
		return Text{Pos: v.pos}
	}
	return Text{v.pos, v.text, true}
}

// Int reads a whole number.
func (t *Table) Int(key string) Int {
	v := t.get(key)
	if v == nil {
		return Int{Pos: t.at}
	}
	n, err := strconv.ParseInt(strings.ReplaceAll(v.text, "_", ""), 0, 32)
	if v.kind != unstable.Integer || err != nil {
		t.wrong(key, v, "a whole number")
		return Int{Pos: v.pos}
	}
	return Int{v.pos, int(n), true}
}

// Float reads a number.
func (t *Table) Float(key string) Float {
	v := t.get(key)
	if v == nil {
		return Float{Pos: t.at}
	}
	f, err := strconv.ParseFloat(strings.ReplaceAll(v.text, "_", ""), 64)
	if (v.kind != unstable.Integer && v.kind != unstable.Float) || err != nil || f != f {
		t.wrong(key, v, "a number")
		return Float{Pos: v.pos}
	}
	return Float{v.pos, f, true}
}

// Bool reads true or false.
func (t *Table) Bool(key string) Bool {
	v := t.get(key)
	if v == nil {
		return Bool{Pos: t.at}
	}
	if v.kind != unstable.Bool {
		t.wrong(key, v, "true or false")
		return Bool{Pos: v.pos}
	}
	return Bool{v.pos, v.text == "true", true}
}

// List reads a list of texts.
func (t *Table) List(key string) List {
	v := t.get(key)
	if v == nil {
		return List{Pos: t.at}
	}
	l := List{Pos: v.at, Given: true}
	if v.kind != unstable.Array {
		t.wrong(key, v, "a list of texts in brackets")
		return l
	}
	for _, item := range v.list {
		if item.kind != unstable.String {
			t.wrong(key, item, "a list of texts in brackets")
			continue
		}
		l.Items = append(l.Items, Text{item.pos, item.text, true})
	}
	return l
}

// Table reads a table; nil where it is absent.
func (t *Table) Table(key string) *Table {
	v := t.get(key)
	if v == nil {
		return nil
	}
	if v.table == nil || v.many {
		t.wrong(key, v, "a table, ["+t.join(key)+"]")
		return nil
	}
	return v.table
}

// unknown reports the keys that nobody asked for, in this table and in those asked for below it.
func (t *Table) unknown() {
	for _, key := range t.order {
		v := t.values[key]
		if !t.asked[key] {
			t.doc.Problem(v.at, "%s is not known; %s", t.join(key), t.suggest(key))
			continue
		}
		if v.table != nil {
			v.table.unknown()
		}
	}
}

func (t *Table) suggest(key string) string {
	known := make([]string, 0, len(t.asked))
	for k := range t.asked {
		known = append(known, k)
	}
	return cmp.Or(Meant(key, known), "take it out")
}

// Empty is an empty table in place of one that is absent, so that its keys count as known and have their usual values.
func (t *Table) Empty(key string) *Table { return newTable(t.doc, t.at, t.join(key)) }
