package book

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// longest is the most bytes that a line of a whole book may have; a job of many mishaps has some hundred thousand.
const longest = 64 << 20

// itemReader gives what is in a book or in what ExportAll wrote, one item after another.
type itemReader struct {
	path string
	take func(item) error
}

// read goes through the file, whichever of the two it is. SQLite looks first: to open and close a book by other means
// takes away the locks that this process may have on it.
func (s itemReader) read(ctx context.Context) error {
	err := s.readBook(ctx)
	if !noDatabase(err) {
		return err
	}
	f, err := os.Open(s.path)
	if err != nil {
		return err
	}
	return errors.Join(s.readLines(ctx, f), f.Close())
}

// readBook goes through another book, which stays as it is. One of an older program is brought up to date in a copy.
func (s itemReader) readBook(ctx context.Context) (err error) {
	db, m, err := openReadOnly(ctx, s.path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := m.own(ctx, db); err != nil {
		return err
	}
	if m.version < len(scripts()) {
		return s.readOld(ctx)
	}
	return (&Book{db: db}).read(ctx, func(tx *sql.Tx) error {
		return walk(ctx, tx, func(i item) error {
			if err := s.take(i); err != nil {
				return fmt.Errorf("%s: %w", i, err)
			}
			return ctx.Err()
		})
	})
}

func (s itemReader) readOld(ctx context.Context) (err error) {
	dir, err := os.MkdirTemp("", "pullcard-*")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	old := s.path
	s.path = filepath.Join(dir, "book")
	if err := blankFile(s.path); err != nil {
		return err
	}
	if err := copyPages(ctx, old, s.path, nil); err != nil {
		return err
	}
	b, err := Open(ctx, s.path)
	if err != nil {
		return err
	}
	if err := b.Close(); err != nil {
		return err
	}
	return s.readBook(ctx)
}

// readLines goes through what ExportAll wrote. The error names the line.
func (s itemReader) readLines(ctx context.Context, r io.Reader) error {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longest)
	var h heading
	for n := 1; lines.Scan(); n++ {
		err := ctx.Err()
		switch {
		case err != nil:
		case n == 1:
			err = h.read(lines.Bytes())
		default:
			err = s.line(&h, lines.Bytes())
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", n, err)
		}
	}
	switch {
	case lines.Err() != nil:
		return fmt.Errorf("read the lines: %w", lines.Err())
	case h.Version == 0:
		return errors.New("the file is empty; it holds no book")
	case h.Records != 0 || h.Plans != 0 || h.Jobs != 0:
		return fmt.Errorf("the file is cut off: of what its first line says, %d records, %d plans and %d jobs are not there; export it anew",
			h.Records, h.Plans, h.Jobs)
	}
	return nil
}

func (h *heading) read(line []byte) error {
	if err := json.Unmarshal(line, h); err != nil || h.Version < 1 {
		return errors.New(`the file is no book and no export of one; its first line does not say "pullcard book"`)
	}
	if h.Version > wholeVersion {
		return fmt.Errorf("the export was written by a newer version of this program (export version %d, this program knows up to %d); use that one",
			h.Version, wholeVersion)
	}
	return strict(line, h)
}

// line takes one item, and it off what the heading promised.
func (s itemReader) line(h *heading, line []byte) error {
	var i item
	if err := strict(line, &i); err != nil {
		return err
	}
	n := 0
	for _, c := range []struct {
		is   bool
		left *int
	}{{i.Record != nil, &h.Records}, {i.Plan != nil, &h.Plans}, {i.Job != nil, &h.Jobs}} {
		if c.is {
			*c.left--
			n++
		}
	}
	if n != 1 {
		return errors.New("a line is one record, one plan or one job")
	}
	if err := s.take(i); err != nil {
		return fmt.Errorf("%s: %w", i, err)
	}
	return nil
}

// strict reads one JSON value with no fields that are not known and nothing behind it.
func strict(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		if strings.Contains(err.Error(), "unknown field") { // the decoder has no type for it
			return fmt.Errorf("this is no line of an export that this version of the program knows, a newer one may: %w", err)
		}
		return fmt.Errorf("this is no line of an export: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("this is no line of an export: there is something behind its end")
	}
	return nil
}

// String names an item.
func (i item) String() string {
	switch {
	case i.Record != nil:
		return fmt.Sprintf("%s %q", i.Record.Kind, i.Record.UID)
	case i.Plan != nil:
		return fmt.Sprintf("plan %d", i.Plan.ID)
	}
	return fmt.Sprintf("job %q", i.Job.UID)
}
