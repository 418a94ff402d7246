package book

import (
	"cmp"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// problem wraps an error with the file, what was being done and, where storage is the cause, what to do about it.
func (b *Book) problem(doing string, err error) error {
	return problem("book "+cmp.Or(b.called, b.at.now()), doing, err)
}

// problem does the same for any file.
func problem(file, doing string, err error) error {
	advice := ""
	if errors.As(err, new(*UnsureError)) {
		advice = "the disk failed when this was to be kept, and it may be kept all the same; look before you do it again, and check the disk and its free space"
	} else if e := (*sqlite.Error)(nil); errors.As(err, &e) {
		advice = adviceOn(e.Code())
	} else if errors.Is(err, syscall.ENOSPC) {
		advice = adviceOn(sqlite3.SQLITE_FULL)
	} else if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		advice = adviceOn(sqlite3.SQLITE_READONLY)
	}
	if advice == "" {
		return fmt.Errorf("%s: %s: %w", file, doing, err)
	}
	return fmt.Errorf("%s: %s: %s (%w)", file, doing, advice, err)
}

// UnsureError is why a change could not be ended where nobody can tell whether the disk has it: what is there once it is read again, or when
// the power has been off.
type UnsureError struct{ Err error }

func (e *UnsureError) Error() string { return e.Err.Error() }

// Unwrap is what the disk said.
func (e *UnsureError) Unwrap() error { return e.Err }

// end ends a change.
func end(tx *sql.Tx) error {
	err := tx.Commit()
	if e := (*sqlite.Error)(nil); errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_IOERR {
		return &UnsureError{err}
	}
	return err
}

// damaged says whether a file cannot be read as a database, or not all of it.
func damaged(err error) bool {
	var e *sqlite.Error
	return noDatabase(err) || errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_CORRUPT
}

// noDatabase says whether a file does not begin like one.
func noDatabase(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_NOTADB
}

// busy says whether another program held a lock for too long.
func busy(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_BUSY
}

// adviceOn says in plain words what stands in the way and what to do, empty for a code that no one can do anything about.
func adviceOn(code int) string {
	switch code & 0xff { // the rest of a code only narrows it down
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return "another program keeps the book locked; nothing was changed, close it there and try again"
	case sqlite3.SQLITE_FULL:
		return "the disk is full; nothing was changed, free some space and try again"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		return "the file or its folder is write-protected; nothing was changed, allow writing or name another file for the book"
	case sqlite3.SQLITE_CANTOPEN:
		return "the file cannot be opened; see that it is a file that you may read and write, in a folder where you may write"
	case sqlite3.SQLITE_NOTADB:
		return "the file is no record book, or its beginning is damaged; name another file for the book or put back a copy"
	case sqlite3.SQLITE_CORRUPT:
		return "the file is damaged; set it aside with the files beside it that begin with its name, then put back a copy or save what is readable with sqlite3 FILE .recover"
	case sqlite3.SQLITE_IOERR:
		return "the disk cannot be read or written; nothing was changed, check the disk and its free space and try again"
	}
	return ""
}
