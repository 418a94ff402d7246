// Package records is what a shop keeps beside the work itself: players and their rackets, strings in stock, machines with
// their gauge checks, stringers, lots, jobs that wait, readings and verdicts.
//
// A record is a kind and a few fields of text, each kept as it was written ("24 kg", "53 lb"). Kinds is the one table of
// them: check, form, command and page follow from it. Kind.Read checks what people typed and says everything that is wrong
// with it. Code has a record as the type of its kind, Player to Verdict: As makes one of fields, Texts the fields of one and
// Changed what differs between two. The book keeps the records.
package records

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"pullcard/patterns/source"
)

// Name is the name of a kind of record, as commands and files write it.
type Name string

// The kinds of record.
const (
	KindPlayer      Name = "player"
	KindRacket      Name = "racket"
	KindStock       Name = "stock"
	KindCut         Name = "cut"
	KindStocktaking Name = "stocktaking"
	KindMachine     Name = "machine"
	KindGauge       Name = "gauge"
	KindStringer    Name = "stringer"
	KindLot         Name = "lot"
	KindJob         Name = "job"
	KindReading     Name = "reading"
	KindHoop        Name = "hoop"
	KindVerdict     Name = "verdict"
	KindBaseline    Name = "baseline"
	KindFrame       Name = "frame"
	KindSheet       Name = "sheet"
)

// Fields are the fields of a record by their keys. What is left away is not there.
type Fields map[string]string

// Field is one field of a kind.
type Field struct {
	Key   string
	Label string // for a form
	Help  string // what is written there, with an example
	// Of is the kind of record that the field names by its UID, empty for a field of plain text.
	Of Name
	// Names is a kind of files of the house, KindFrame or KindSheet, of which the field names one, or one that is built in, or a path.
	Names Name
	// Needed fields cannot be left away.
	Needed bool
	// Choices are all that may be written, empty where there is no such list.
	Choices []string
	// Derived fields are filled in by the program: they are shown, and no form asks for them.
	Derived bool
	// Asked is the field of the reason that is asked for where something is doubted, and only there.
	Asked bool
	// Private fields say who somebody is; they go when somebody is forgotten.
	Private bool
	// Whole fields hold the text of a file, which is kept byte by byte; File names the file that it came from.
	Whole, File bool
	// Free fields hold free words, for which a list on a screen has no room. They go too when somebody is forgotten, as they
	// may be about anybody.
	Free bool
	// Called is the field by whose text a record is called.
	Called bool
	// Lead stands before the text where a record is told in a line and the text does not say by itself what it is.
	Lead string
	// Sought fields are those by whose letters a record is found.
	Sought bool
	// check brings what was written into the form in which it is kept; nil keeps any text.
	check func(text string, now time.Time) (string, error)
}

// Kind is a kind of record.
type Kind struct {
	Name   Name
	Plural string
	Short  string // what it is, one line
	// Owner is the field that says whose it is, empty for a kind that stands alone. The owner's history is found by it.
	Owner  string
	Fields []Field
}

// Field finds a field by its key.
func (k Kind) Field(key string) (Field, bool) {
	for _, f := range k.Fields {
		if f.Key == key {
			return f, true
		}
	}
	return Field{}, false
}

// Reason is the field in which a record of the kind keeps why it is so all the same; ok is false where nothing of it is doubted.
func (k Kind) Reason() (f Field, ok bool) {
	i := slices.IndexFunc(k.Fields, func(f Field) bool { return f.Asked })
	if i < 0 {
		return f, false
	}
	return k.Fields[i], true
}

// Find is the kind of a name.
func Find(n Name) (Kind, bool) {
	i := slices.IndexFunc(kinds(), func(k Kind) bool { return k.Name == n })
	if i < 0 {
		return Kind{}, false
	}
	return kinds()[i], true
}

// NameField is the key of the field by whose text a record of the kind is called, empty for a kind that has no names.
func (k Kind) NameField() string {
	for _, field := range k.Fields {
		if field.Called {
			return field.Key
		}
	}
	return ""
}

// Label is what a record of the kind is called, empty where its fields do not say.
func (k Kind) Label(f Fields) string { return f[k.NameField()] }

// Read checks fields that people wrote and returns them in the form in which they are kept; empty ones are left away.
// now is the clock's time, for times without a date. The error joins everything that is wrong.
func (k Kind) Read(written Fields, now time.Time) (Fields, error) {
	kept, err := k.ReadSome(written, now)
	wrong := []error{err}
	for _, f := range k.Fields {
		if f.Needed && strings.TrimSpace(written[f.Key]) == "" {
			wrong = append(wrong, fmt.Errorf("%s is missing; a %s needs it: %s", f.Key, k.Name, f.Help))
		}
	}
	return kept, errors.Join(wrong...)
}

// ReadSome does the same for some of the fields of a record, of which any may be left away.
func (k Kind) ReadSome(written Fields, now time.Time) (Fields, error) {
	kept := Fields{}
	var wrong []error
	for _, key := range slices.Sorted(maps.Keys(written)) {
		f, ok := k.Field(key)
		text := written[key]
		if !f.Whole {
			text = strings.TrimSpace(text)
		}
		if !ok {
			wrong = append(wrong, k.unknown(key))
			continue
		}
		if text == "" {
			continue
		}
		text, err := f.read(text, now)
		if err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w", key, err))
			continue
		}
		kept[key] = text
	}
	return kept, errors.Join(wrong...)
}

func (k Kind) unknown(key string) error {
	keys := make([]string, len(k.Fields))
	for i, f := range k.Fields {
		keys[i] = f.Key
	}
	return fmt.Errorf("a %s has no %q; %s", k.Name, key, source.Instead(key, keys))
}

// read checks one field.
func (f Field) read(text string, now time.Time) (string, error) {
	most := 4000
	if f.Whole {
		most = source.Limit
	}
	if len(text) > most {
		return "", fmt.Errorf("it has %d bytes; write %d at most", len(text), most)
	}
	if len(f.Choices) > 0 && !slices.Contains(f.Choices, text) {
		return "", fmt.Errorf("%q is not known; %s", text, source.Instead(text, f.Choices))
	}
	if f.check == nil {
		return text, nil
	}
	return f.check(text, now)
}

// Person says whether a kind's records are of people, who can be forgotten.
func (n Name) Person() bool { return n == KindPlayer || n == KindStringer }

// Words are what a record is found by, folded.
func (k Kind) Words(f Fields) string {
	var words []string
	for _, field := range k.Fields {
		if field.Sought && f[field.Key] != "" {
			words = append(words, Fold(f[field.Key]))
		}
	}
	return strings.Join(words, " ")
}

// Blank takes the private and the free fields away; gone are the labels of those that said something.
func (k Kind) Blank(f Fields) (kept Fields, gone []string) {
	kept = Fields{}
	for _, field := range k.Fields {
		text, ok := f[field.Key]
		if private := field.Private || field.Free; ok && !private {
			kept[field.Key] = text
		} else if text != "" {
			gone = append(gone, field.Label)
		}
	}
	return kept, gone
}

// References are the UIDs of the records that fields name.
func (k Kind) References(f Fields) []string { return k.named(f, "") }

// Belongs are those of them that say whose the fields are: not who strung, read or counted, of whom nothing else is.
func (k Kind) Belongs(f Fields) []string { return k.named(f, KindStringer) }

func (k Kind) named(f Fields, but Name) (uids []string) {
	for _, field := range k.Fields {
		if field.Of != "" && field.Of != but && f[field.Key] != "" {
			uids = append(uids, f[field.Key])
		}
	}
	return uids
}

// Counted lists how many records of each kind there are, in words.
func Counted(n map[Name]int) string {
	var parts []string
	for _, k := range kinds() {
		switch n[k.Name] {
		case 0:
		case 1:
			parts = append(parts, "1 "+string(k.Name))
		default:
			parts = append(parts, fmt.Sprintf("%d %s", n[k.Name], k.Plural))
		}
	}
	if len(parts) == 0 {
		return "no other record"
	}
	return strings.Join(parts, ", ")
}

// With are some fields with a change of them: an empty text takes a field away when it is kept.
func (f Fields) With(change Fields) Fields {
	out := maps.Clone(f)
	if out == nil {
		out = Fields{}
	}
	maps.Copy(out, change)
	return out
}

// Differing lists the keys in which two records differ.
func Differing(a, b Fields) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(a.With(b))), func(key string) bool { return a[key] == b[key] })
}
