package book

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// problem wraps an error with the file, what was being done and, where storage is the cause, what to do about it.
func (b *Book) problem(doing string, err error) error {
	var e *sqlite.Error
	if errors.As(err, &e) {
		if advice := advice(e.Code()); advice != "" {
			return fmt.Errorf("book %s: %s: %s (%w)", b.path, doing, advice, err)
		}
	}
	return fmt.Errorf("book %s: %s: %w", b.path, doing, err)
}

// busy says whether another program held a lock for too long.
func busy(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_BUSY
}

// advice says in plain words what stands in the way and what to do, empty for a code that no one can do anything about.
func advice(code int) string {
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
