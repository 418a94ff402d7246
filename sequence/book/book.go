// Package book is the record book: one file that keeps every job, the plan that it follows and each event of its
// work. Events are only appended, and each is on the disk before Append returns.
//
// Start with Open. NewJob begins a job, Append records an event, Jobs and Job read, Export writes everything out.
// Several programs may have the book open at once.
package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"

	_ "modernc.org/sqlite" // the driver
)

// Book is an open record book. Its methods may be called from several goroutines; they take turns.
type Book struct {
	path     string
	db       *sql.DB
	appender appender
}

// Open opens the book in a file and makes it, for its owner's eyes only, when there is none; a missing folder is made
// likewise. A book of an older program is brought up to date. Refused are a file that is something else and a book
// of a newer program; what they hold is not changed.
func Open(ctx context.Context, path string) (*Book, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("find the book: %w", err)
	}
	if err := create(abs); err != nil {
		return nil, fmt.Errorf("make the book: %w; name another file or see that you may write there", err)
	}
	db, err := sql.Open("sqlite", address(abs))
	if err != nil {
		return nil, fmt.Errorf("open the book: %w", err)
	}
	db.SetMaxOpenConns(1) // a second one would only wait for the first
	b := &Book{path: abs, db: db}
	if err := b.ready(ctx); err != nil {
		return nil, errors.Join(b.problem("open", err), db.Close())
	}
	return b, nil
}

// OpenOld opens a book that is there; for what only reads. The error says so when there is none.
func OpenOld(ctx context.Context, path string) (*Book, error) {
	if err := there(path); err != nil {
		return nil, fmt.Errorf("book %s: open: %w", path, err)
	}
	return Open(ctx, path)
}

// there says when there is no file.
func there(path string) error {
	_, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such book; name the one that you mean with --book FILE")
	}
	if err != nil {
		return err
	}
	return regular(path)
}

// regular says when there is something else than a file: to open a pipe could wait for ever, and a device could do anything.
func regular(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil || info.Mode().IsRegular() || info.IsDir(): // SQLite says what is wrong with a folder
		return nil
	case info.Mode()&fs.ModeNamedPipe != 0:
		return errors.New("it is a pipe and no file")
	}
	return errors.New("it is a device and no file")
}

// Close closes the book. Everything is saved already.
func (b *Book) Close() error {
	if err := b.db.Close(); err != nil {
		return b.problem("close", err)
	}
	return nil
}

// create makes an empty file unless there is one. SQLite gives its companion files the same mode.
func create(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrNotExist) {
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return err
		}
		f, err = os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	}
	if errors.Is(err, fs.ErrExist) {
		return regular(path)
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// address names the file and how each connection to it is set up. With synchronous=FULL a commit is on the disk when it
// returns; the cache is a mebibyte, which holds the pages of a job many times over.
func address(path string) string {
	q := url.Values{
		"mode":    {"rw"},
		"_txlock": {"immediate"}, // a transaction that is to write never finds out too late that another writes
		"_pragma": {"busy_timeout(5000)", "synchronous(FULL)", "foreign_keys(1)", "cache_size(-1024)"},
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

// write does several changes as one: all are kept or none.
func (b *Book) write(ctx context.Context, change func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := change(tx); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}

// read does several reads of one moment.
func (b *Book) read(ctx context.Context, look func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	return errors.Join(look(tx), tx.Rollback())
}
