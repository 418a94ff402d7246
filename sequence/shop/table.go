package shop

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"pullcard/patterns/harmless"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// columns are the fields of a kind that a table has: all that people write.
func columns(k records.Kind) (out []records.Field) {
	for _, f := range k.Fields {
		if !f.Derived && !f.Whole && !f.File {
			out = append(out, f)
		}
	}
	return out
}

// WriteTable writes records of a kind as comma-separated values, the keys of the fields as headings and names for what they refer to.
// Of players, rackets and stock TakeTable makes the same ones again.
func WriteTable(w io.Writer, k records.Kind, list []Item) error {
	fields := columns(k)
	rows := [][]string{{}}
	for _, f := range fields {
		rows[0] = append(rows[0], f.Key)
	}
	for _, it := range slices.Backward(list) { // the oldest first, as they were added
		row := make([]string, len(fields))
		for i, f := range fields {
			if row[i] = it.Fields[f.Key]; f.Of != "" {
				row[i] = it.Names[it.Fields[f.Key]]
			}
		}
		rows = append(rows, row)
	}
	return harmless.WriteCSV(w, rows)
}

// TakeTable adds a record of a kind for each row of comma-separated values: the first row has the fields' keys or labels, what a
// field refers to is named by its number or a few words. All of it is tried first; the error has every problem with its line, and then
// nothing was added. A row that is doubted takes its own reason or because, as everywhere; no other row keeps because.
func (s *Shop) TakeTable(ctx context.Context, file string, data []byte, k records.Kind, because string) ([]book.Record, error) {
	rows, lines, err := harmless.ReadCSV(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("%s: it has no rows; the first one has the headings, as %s", file, headings(k))
	}
	heads, wrong := s.heads(file, rows[0], k)
	var list []book.Record
	reason, _ := k.Reason()
	seen := map[string]int{}
	var doubts Doubts
	for i, row := range rows[1:] {
		at := fmt.Sprintf("%s:%d:1: ", file, lines[i+1])
		fields, err := s.row(ctx, k, heads, row)
		name := records.Fold(k.Label(fields)) + "\x00" + fields[k.Owner]
		twice := seen[name] > 0 && k.Name != records.KindStock
		if written := fields; err == nil {
			fields, err = s.filled(ctx, k.Name, written, s.Now())
			if _, doubted := Doubted(err); (doubted || twice) && written[reason.Key] == "" && because != "" {
				fields, err = s.filled(ctx, k.Name, written.With(records.Fields{reason.Key: because}), s.Now())
			}
		}
		if d, ok := Doubted(err); ok {
			for _, one := range d {
				doubts = append(doubts, Doubt{Text: at + one.Error(), Reason: one.Reason})
			}
		} else if err != nil {
			for text := range strings.SplitSeq(err.Error(), "\n") {
				wrong = append(wrong, errors.New(at+text))
			}
			continue
		}
		if twice && fields[reason.Key] == "" {
			doubts = append(doubts, Doubt{Text: fmt.Sprintf("%s%s: %q is in line %d already; is this another one?", at, k.NameField(), k.Label(fields), seen[name])})
		}
		seen[name] = lines[i+1]
		list = append(list, book.Record{Kind: k.Name, Fields: fields, At: s.Now()})
	}
	switch {
	case len(wrong) > 0:
		return nil, errors.Join(wrong...)
	case len(doubts) > 0:
		return nil, doubts
	}
	return s.Book.AddAll(ctx, list)
}

func headings(k records.Kind) string {
	var keys []string
	for _, f := range columns(k) {
		keys = append(keys, f.Key)
	}
	return strings.Join(keys, ",")
}

// heads are the fields of the columns; an empty heading is of a column that nobody wants.
func (s *Shop) heads(file string, row []string, k records.Kind) (out []records.Field, wrong []error) {
	for i, head := range row {
		var found records.Field
		for _, f := range columns(k) {
			if folded := records.Fold(head); folded == f.Key || folded == records.Fold(f.Label) {
				found = f
			}
		}
		if found.Key == "" && strings.TrimSpace(head) != "" {
			wrong = append(wrong, fmt.Errorf("%s:1:%d: a %s has no %q; write %s", file, i+1, k.Name, head, headings(k)))
		}
		out = append(out, found)
	}
	return out, wrong
}

// row is the record of a row.
func (s *Shop) row(ctx context.Context, k records.Kind, heads []records.Field, row []string) (records.Fields, error) {
	fields := records.Fields{}
	if len(row) > len(heads) {
		return fields, fmt.Errorf("it has %d columns, and the headings %d", len(row), len(heads))
	}
	var wrong []error
	for i, text := range row {
		f := heads[i]
		if text = strings.TrimSpace(text); f.Key == "" || text == "" {
			continue
		}
		if f.Of != "" {
			of, _ := records.Find(f.Of)
			r, err := s.Meant(ctx, f.Of, fields[of.Owner], text)
			if err != nil {
				wrong = append(wrong, fmt.Errorf("%s: %w", f.Key, err))
			}
			text = r.UID
		}
		fields[f.Key] = text
	}
	return fields, errors.Join(wrong...)
}
