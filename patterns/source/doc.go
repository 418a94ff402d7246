// Package source reads TOML with the place of every value kept, and collects what is wrong instead of stopping at the
// first problem.
//
// Call Read first; ask the root Table for the keys that are known, then call Close, which reports the unknown ones and
// returns all problems in order.
package source

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Limit is the largest file that is read, in bytes; a card is a page, not a book.
const Limit = 64 << 10

// Doc is a file read so far as its syntax.
type Doc struct {
	file     string
	root     *Table
	problems Problems
	warnings Problems
}

// Read parses a file. The error is a Problems with the place of the syntax error.
func Read(file string, data []byte) (*Doc, error) {
	if len(data) > Limit {
		return nil, Problems{{File: file, Text: fmt.Sprintf("the file has %d bytes; at most %d are read", len(data), Limit)}}
	}
	if at, text := beyond(data); text != "" {
		return nil, Problems{{File: file, Pos: place(data, lineStarts(data), at), Text: text}}
	}
	var all map[string]any
	if err := toml.Unmarshal(data, &all); err != nil {
		return nil, Problems{syntax(file, data, err)}
	}
	d := &Doc{file: file}
	d.root = newTable(d, Pos{1, 1}, "")
	if err := d.build(data); err != nil {
		return nil, Problems{syntax(file, data, err)}
	}
	return d, nil
}

func syntax(file string, data []byte, err error) Problem {
	p := Problem{File: file, Text: strings.TrimPrefix(err.Error(), "toml: ") + "; write it as TOML"}
	var at *toml.DecodeError
	if errors.As(err, &at) {
		line, col := at.Position()
		p.Pos = Pos{line, col}
	}
	if !utf8.Valid(data) {
		p.Text = "the file is not UTF-8 text; save it as UTF-8"
	}
	return p
}

// Root is the table of the whole file.
func (d *Doc) Root() *Table { return d.root }

// File is the name under which the file was read.
func (d *Doc) File() string { return d.file }

// Problem notes something that is wrong at a place.
func (d *Doc) Problem(at Pos, format string, args ...any) {
	d.problems = append(d.problems, Problem{d.file, at, fmt.Sprintf(format, args...)})
}

// Warn notes something doubtful at a place; it does not make the file wrong.
func (d *Doc) Warn(at Pos, format string, args ...any) {
	d.warnings = append(d.warnings, Problem{d.file, at, fmt.Sprintf(format, args...)})
}

// Measured reads a text with its unit by parse, 0 of one that is not given. What parse refuses is a problem of the key, and so is what
// is not from least to most: says tells what it should be, behind the key and "is" with what was written.
func (d *Doc) Measured(key string, t Text, parse func(string) (float64, error), least, most float64, says string) float64 {
	if !t.Given {
		return 0
	}
	v, err := parse(t.Value)
	if err != nil {
		d.Problem(t.Pos, "%s: %v", key, err)
	} else if v < least || v > most {
		d.Problem(t.Pos, "%s is %q; %s", key, t.Value, says)
	}
	return v
}

// Failed says whether a problem has been noted.
func (d *Doc) Failed() bool { return len(d.problems) > 0 }

// Close reports the keys that nobody asked for and returns the warnings and, as a Problems, everything wrong.
func (d *Doc) Close() (Problems, error) {
	d.root.unknown()
	warnings, problems := d.warnings.Sorted(), d.problems.Sorted()
	if len(problems) == 0 {
		return warnings, nil
	}
	return warnings, problems
}

// build walks the syntax tree, which knows the places that the decoder forgets. The decoder has already refused
// everything that is not TOML, repeated keys included.
func (d *Doc) build(data []byte) error {
	var p unstable.Parser
	p.Reset(data)
	lines := lineStarts(data)
	at := func(r unstable.Range, otherwise Pos) Pos {
		if r.Length == 0 {
			return otherwise
		}
		return place(data, lines, int(r.Offset))
	}
	table := d.root
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = d.root
			for it := e.Key(); it.Next(); {
				table = table.child(string(it.Node().Data), at(it.Node().Raw, Pos{1, 1}), e.Kind == unstable.ArrayTable)
			}
		case unstable.KeyValue:
			table.put(e, at)
		}
	}
	return p.Error()
}

func lineStarts(data []byte) []int {
	starts := []int{0}
	for at := 0; ; {
		i := bytes.IndexByte(data[at:], '\n')
		if i < 0 {
			return starts
		}
		at += i + 1
		starts = append(starts, at)
	}
}

func place(data []byte, starts []int, offset int) Pos {
	line := sort.SearchInts(starts, offset+1) - 1
	return Pos{line + 1, utf8.RuneCount(data[starts[line]:offset]) + 1}
}
