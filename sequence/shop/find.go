package shop

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// MostFound is how many records a list of the screens holds at most; a few letters find the others.
const MostFound = 100

// Find lists records of a kind in which all the words of letters occur, see book.Find, a hundred at most. of is the UID of an owner whose records alone are wanted, empty for everybody's.
func (s *Shop) Find(ctx context.Context, kind records.Name, of, letters string) ([]Item, error) {
	list, err := s.find(ctx, kind, of, letters)
	if err != nil {
		return nil, err
	}
	return s.Items(ctx, list)
}

func (s *Shop) find(ctx context.Context, kind records.Name, of, letters string) ([]book.Record, error) {
	if of != "" {
		list, err := s.Book.Of(ctx, kind, of)
		return lettered(kind, list, letters), err
	}
	return s.Book.Find(ctx, kind, letters, MostFound)
}

// lettered keeps the records in whose names all the words of letters occur.
func lettered(kind records.Name, list []book.Record, letters string) []book.Record {
	k, _ := records.Find(kind)
	var kept []book.Record
	for _, r := range list {
		all := true
		for _, word := range strings.Fields(records.Fold(letters)) {
			all = all && strings.Contains(k.Words(r.Fields), word)
		}
		if all {
			kept = append(kept, r)
		}
	}
	return kept[:min(len(kept), MostFound)]
}

// Meant is the record of a kind that somebody means, among those of an owner where one is named: by its number, its uid or a few
// words. The error says which it may be, each with whose it is and where it stands.
func (s *Shop) Meant(ctx context.Context, kind records.Name, owner, asked string) (book.Record, error) {
	several := &book.AmbiguousError{}
	var theirs []book.Record
	none := false
	if _, number := strconv.Atoi(asked); owner != "" && number != nil {
		var err error
		if theirs, err = s.Book.Of(ctx, kind, owner); err != nil {
			return book.Record{}, err
		}
		several.Found = book.Exact(lettered(kind, theirs, asked), asked)
	}
	switch r, err := s.Book.Lookup(ctx, kind, asked); {
	case len(several.Found) == 1:
		return several.Found[0], nil
	case len(several.Found) > 0:
	case len(theirs) > 0 && r.UID != asked:
		several.Found, none = theirs, true
	case !errors.As(err, &several):
		return r, err
	}
	items, wrong := s.Items(ctx, several.Found)
	if wrong != nil {
		return book.Record{}, wrong
	}
	names := make([]string, len(items))
	for i, it := range items {
		names[i] = it.told()
	}
	more := ""
	if n := len(names) - mayBe; n > 0 {
		names, more = names[:mayBe], fmt.Sprintf(" and %d more", n)
	}
	if none {
		k, _ := records.Find(kind)
		return book.Record{}, fmt.Errorf("none of this %s's %s is called %q; there are %s%s", k.Owner, k.Plural, asked, strings.Join(names, "; "), more)
	}
	return book.Record{}, severalError{several, fmt.Sprintf("%q may be %d: %s%s; write the number, or more words", asked, len(items), strings.Join(names, "; "), more)}
}

// severalError says of an AmbiguousError what tells them apart.
type severalError struct {
	*book.AmbiguousError
	words string
}

func (e severalError) Error() string { return e.words }

func (e severalError) Unwrap() error { return e.AmbiguousError }

// mayBe is how many of several records an error names.
const mayBe = 8

// told is a record with its number, whose it is and where it stands.
func (it Item) told() string { return fmt.Sprintf("%d (%s)", it.ID, it.whose()) }

func (it Item) whose() string {
	k, _ := records.Find(it.Kind)
	words := []string{it.Label()}
	for _, f := range k.Fields {
		if f.Of != "" && it.Names[it.Fields[f.Key]] != "" && len(words) < 3 {
			words = append(words, it.Names[it.Fields[f.Key]])
		}
	}
	return strings.Join(append(words, compact([]string{it.Mark})...), ", ")
}

// Orders is what to order of each string of the stock.
func (s *Shop) Orders(ctx context.Context) ([]records.Order, error) {
	shelves, err := s.Book.Shelves(ctx, "")
	list := make([]records.Shelf, len(shelves))
	for i, shelf := range shelves {
		list[i] = shelf.Shelf
	}
	return records.Orders(list, s.Now()), err
}
