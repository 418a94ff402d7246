package shop

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// shelved is a sort of file that a job names: a path is one of the disk, and a bare name one that the house keeps, or else one that is
// built in, or else a file of that name. So no file that lies about changes what a name means.
type shelved struct {
	kind    records.Name // of what the house keeps
	what    string
	builtIn func(name string) ([]byte, bool)
	names   func() []string
	check   func(file string, data []byte) (said string, warnings []string, err error)
}

func layouts() shelved {
	return shelved{records.KindFrame, "layout", library.Layout, library.Layouts, checkLayout}
}

func techniques() shelved {
	return shelved{records.KindSheet, "technique sheet", library.Technique, library.Techniques, checkTechnique}
}

func shelf(kind records.Name) shelved {
	if kind == records.KindFrame {
		return layouts()
	}
	return techniques()
}

// Names are all frames or technique sheets that go by a name: what is built in, and what the house keeps as far as the book tells.
func (f Files) Names(kind records.Name) []string {
	of := shelf(kind)
	kept, _ := f.kept(of)
	return append(of.names(), slices.Sorted(maps.Keys(kept))...)
}

// Lettered are those names in which each word of letters begins a word, as "sk" does in "two-piece-skip"; the one that
// is just that alone, and none for a path.
func (f Files) Lettered(kind records.Name, letters string) (list []string) {
	if isPath(letters) {
		return nil
	}
	apart := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	for _, name := range f.Names(kind) {
		words := strings.FieldsFunc(records.Fold(name), apart)
		if name == letters {
			return []string{name}
		}
		begins := func(asked string) bool {
			return slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, asked) })
		}
		if !slices.ContainsFunc(strings.FieldsFunc(records.Fold(letters), apart), func(asked string) bool { return !begins(asked) }) {
			list = append(list, name)
		}
	}
	slices.Sort(list)
	return slices.Compact(list) // one of the house goes before a built-in one
}

// Keeping is the files with what a book's house keeps.
func (f Files) Keeping(b *book.Book) Files {
	f.Kept = func(kind records.Name) (map[string][]byte, error) {
		list, err := b.Find(context.Background(), kind, "", 0)
		out := map[string][]byte{}
		for _, r := range slices.Backward(list) { // the newest of one name counts
			out[r.Label()] = []byte(textOf(r.Fields))
		}
		return out, err
	}
	return f
}

// textOf is the text of a frame or a sheet that the house keeps; both have the same fields.
func textOf(fields records.Fields) string { return records.As[records.Sheet](fields).Text }

// kept is what the house keeps under names.
func (f Files) kept(of shelved) (map[string][]byte, error) {
	if f.Kept == nil {
		return nil, nil
	}
	return f.Kept(of.kind)
}

// known is the text of a name that is no path: the house's, or what is built in.
func (f Files) known(name string, of shelved) (data []byte, ok bool, err error) {
	if isPath(name) {
		return nil, false, nil
	}
	kept, err := f.kept(of)
	if data, ok = kept[name]; ok {
		return data, true, nil
	}
	if data, ok = of.builtIn(name); ok {
		return data, true, nil // also where the book cannot be asked
	}
	return nil, false, err
}

func isPath(name string) bool {
	return strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml")
}

// named finds what a job names; a path is relative to the job's file.
func (f Files) named(job string, ref source.Text, of shelved) (string, []byte, error) {
	data, ok, err := f.known(ref.Value, of)
	if err != nil {
		return "", nil, source.Problem{File: job, Pos: ref.Pos, Text: fmt.Sprintf("%q is looked for among what the house keeps: %v", ref.Value, err)}
	}
	if ok {
		return ref.Value, data, nil
	}
	path := ref.Value
	if path != "" && !filepath.IsAbs(path) { // nothing is no folder
		path = filepath.Join(filepath.Dir(job), path)
	}
	if data, err = f.Read(path); err == nil {
		return path, data, nil
	}
	return "", nil, source.Problem{File: job, Pos: ref.Pos, Text: f.unknown(ref.Value, of, err)}
}

// unknown says of a name that nothing has, and that as a file was not read, what there is.
func (f Files) unknown(name string, of shelved, err error) string {
	near := source.Instead(name, f.Names(of.kind))
	if several := f.Lettered(of.kind, name); len(several) > 1 {
		near = "it may be " + strings.Join(several, " or ") + "; write more of it"
	}
	return fmt.Sprintf("%q is neither a built-in %s nor a file that can be read (%s); %s", name, of.what, Reason(err), near)
}

// place is a name that is known as it is, and any other as the whole path of what a job file means by it.
func (f Files) place(job, name string, of shelved) string {
	if name == "" || filepath.IsAbs(name) {
		return name
	}
	if _, ok, _ := f.known(name, of); ok {
		return name
	}
	return f.Whole(filepath.Join(filepath.Dir(job), name))
}

// placeTyped is place for what somebody typed: letters of one name alone are that name, and what is not there stays as it is, so that messages
// say it so. A file's are never taken so, for what they mean would change with the next sheet.
func (f Files) placeTyped(name string, of shelved) string {
	path := f.place("", name, of)
	if _, err := f.Read(path); err == nil || name == "" {
		return path
	}
	if meant := f.Lettered(of.kind, name); len(meant) == 1 {
		return meant[0]
	}
	return name
}

// text is what a name or a path says.
func (f Files) text(name string, of shelved) ([]byte, error) {
	data, ok, err := f.known(name, of)
	if ok || err != nil {
		return data, err
	}
	if data, err = f.Read(name); err == nil || isPath(name) || errors.Is(err, context.Canceled) {
		return data, ReadError(name, err)
	}
	return nil, errors.New(f.unknown(name, of, err))
}

// Layout reads a layout: the house's, a built-in one or a file.
func (f Files) Layout(name string) (*patterns.Frame, error) {
	data, err := f.text(name, layouts())
	if err != nil {
		return nil, err
	}
	frame, _, err := patterns.ReadLayout(name, data)
	return frame, err
}

// Technique reads a technique sheet: the house's, a built-in one or a file.
func (f Files) Technique(name string) (*sequence.Technique, error) {
	data, err := f.text(name, techniques())
	if err != nil {
		return nil, err
	}
	t, _, err := sequence.ReadTechnique(name, data)
	return t, err
}

// shelve takes in the file that a frame or a sheet of the house names, and sees that its text can be read. uid is that of the record
// that is corrected, empty for a new one.
func (s *Shop) shelve(ctx context.Context, kind records.Name, uid string, fields records.Fields) (records.Fields, error) {
	of := shelf(kind)
	fields, err := records.Amend(fields, func(r *records.Sheet) error { // a frame has the same fields
		if r.File != "" {
			data, err := s.File(r.File)
			if err != nil {
				return fmt.Errorf("%s: %w", records.Key(r, &r.File), err)
			}
			r.Text, r.File = string(data), s.Whole(r.File)
		}
		if r.Text == "" && uid == "" {
			return fmt.Errorf("%s: name the file of the %s, whose text the house is to keep", records.Key(r, &r.File), of.what)
		}
		if r.Text == "" {
			return nil
		}
		_, _, err := of.check(r.File, []byte(r.Text))
		return err
	})
	if err != nil {
		return nil, err
	}
	return fields, s.onlyOne(ctx, kind, uid, fields)
}

// shelvedBelow tells every setting of a sheet with its reason, as the sheet's remarks give it, or what a layout is.
func shelvedBelow(r book.Record) ([]Section, error) {
	text := []byte(textOf(r.Fields))
	sec := Section{Title: "settings"}
	if r.Kind == records.KindFrame {
		said, warnings, err := checkLayout(r.Label(), text)
		if err != nil {
			return nil, err
		}
		for _, line := range append([]string{said}, warnings...) {
			sec.Lines = append(sec.Lines, Line{Text: line})
		}
		sec.Title = "layout"
		return []Section{sec}, nil
	}
	t, _, err := sequence.ReadTechnique(r.Label(), text)
	if err != nil {
		return nil, err
	}
	why := source.Remarks(text)
	sec.Head = strings.Fields("setting why")
	for _, set := range t.Clauses() {
		reason := why[set.Key]
		if set.Usual {
			reason = "as usual; the sheet does not say"
		}
		sec.Lines = append(sec.Lines, Line{Text: strings.Join(compact([]string{set.Says, reason}), " · "), Cells: []string{set.Says, reason}})
	}
	return []Section{sec}, nil
}

// sheetBefore tells which settings of a sheet were otherwise before each correction, the newest first.
func sheetBefore(r book.Record, corrections []book.Correction) []Section {
	sec, now := Section{Title: "what it said before"}, textOf(r.Fields)
	for _, c := range slices.Backward(corrections) {
		before := textOf(c.Before)
		if before == "" || before == now {
			continue
		}
		at := day(c.At)
		if c.Why != "" {
			at += ", " + c.Why
		}
		for _, text := range otherClauses(before, now) {
			sec.Lines = append(sec.Lines, Line{Text: "until " + at + ": " + text})
		}
		now = before
	}
	if len(sec.Lines) == 0 {
		return nil
	}
	return []Section{sec}
}

// otherClauses are the settings of one text of a sheet that are otherwise in another, with their reasons.
func otherClauses(one, other string) (out []string) {
	says := func(text string) (map[string]string, []sequence.Clause) {
		t, _, err := sequence.ReadTechnique("", []byte(text))
		if err != nil {
			return nil, nil // of an older pullcard, which could read it
		}
		said, why := map[string]string{}, source.Remarks([]byte(text))
		for _, c := range t.Clauses() {
			said[c.Key] = strings.Join(compact([]string{c.Says, why[c.Key]}), " · ")
		}
		return said, t.Clauses()
	}
	then, _ := says(other)
	was, clauses := says(one)
	for _, c := range clauses {
		if was[c.Key] != then[c.Key] {
			out = append(out, was[c.Key])
		}
	}
	return out
}

// shelvedFor are the jobs that wait and name a frame or a sheet of the house.
func (s *Shop) shelvedFor(ctx context.Context, r book.Record) (n int, err error) {
	list, err := s.Book.Queue(ctx)
	for _, w := range list {
		j := records.As[records.Job](w.Fields)
		if r.Kind == records.KindFrame && j.Frame == r.Label() || r.Kind == records.KindSheet && j.Technique == r.Label() {
			n++
		}
	}
	return n, err
}

// onlyOne refuses a second frame or sheet of one name: a job that names it means one.
func (s *Shop) onlyOne(ctx context.Context, kind records.Name, uid string, fields records.Fields) error {
	r := records.As[records.Sheet](fields)
	if r.Name == "" {
		return nil
	}
	other, found, err := s.called(ctx, kind, r.Name)
	if err == nil && found && other.UID != uid {
		err = fmt.Errorf("%s: %s %d is called %q already, and a job that names it means one; correct that one, or give this another name", records.Key(&r, &r.Name), kind, other.ID, other.Label())
	}
	return errors.Join(err)
}
