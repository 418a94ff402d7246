package shop

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/records"
)

// Doubt is what is asked about before it is kept: it may be so, and looks as if it were not.
type Doubt struct {
	// Key is the field that it is about, empty for the whole record.
	Key  string
	Text string
	// Reason says that it takes a reason; otherwise it is enough to say that it is so.
	Reason bool
}

func (d Doubt) Error() string {
	if d.Key == "" {
		return d.Text
	}
	return d.Key + ": " + d.Text
}

// Doubts is the error of what was not kept because it is doubted. Whoever says it once more with the reason in the record's own
// field for that, see records.Kind.Reason, is believed, and the reason is kept.
type Doubts []Doubt

func (d Doubts) Error() string {
	lines := make([]string, len(d))
	for i, one := range d {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// Words are the doubts in one line, without the fields that they are about.
func (d Doubts) Words() string {
	words := make([]string, len(d))
	for i, one := range d {
		words[i] = one.Text
	}
	return strings.Join(words, "; ")
}

// Unwrap are the doubts one by one.
func (d Doubts) Unwrap() []error {
	out := make([]error, len(d))
	for i, one := range d {
		out[i] = one
	}
	return out
}

// Reason says whether any of them takes a reason.
func (d Doubts) Reason() bool {
	return slices.ContainsFunc(d, func(one Doubt) bool { return one.Reason })
}

// unless is no error where nothing is doubted, or where what somebody said of it is enough.
func (d Doubts) unless(because string) error {
	d = slices.DeleteFunc(slices.Clone(d), func(one Doubt) bool {
		return because != "" && (!one.Reason || because != records.ItIsSo)
	})
	if len(d) == 0 {
		return nil
	}
	return d
}

// ask doubts a field of a record.
func ask(key, format string, args ...any) Doubt {
	return Doubt{Key: key, Text: fmt.Sprintf(format, args...)}
}

// Doubted are the doubts that an error tells of, none where it tells of anything else.
func Doubted(err error) (d Doubts, ok bool) {
	ok = errors.As(err, &d)
	return d, ok
}

// together is the error of several things that were to be kept: all that cannot be, or else all that is doubted, each once.
func together(wrong []error) error {
	var refused []error
	var doubts Doubts
	for _, err := range wrong {
		d, ok := Doubted(err)
		if !ok {
			refused = append(refused, err)
		}
		for _, one := range d {
			if !slices.Contains(doubts, one) {
				doubts = append(doubts, one)
			}
		}
	}
	if len(refused) > 0 || len(doubts) == 0 {
		return errors.Join(refused...)
	}
	return doubts
}
