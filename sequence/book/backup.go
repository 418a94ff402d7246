package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"

	"modernc.org/sqlite"
)

// stretch is how many pages are copied between two looks at whether the copy is still wanted: 256 kibibytes, few enough that
// whoever writes to the same disk hardly waits.
const stretch = 64

// Backup copies the book, as it is at one moment, into a new file for its owner's eyes only. Others may work on the book
// meanwhile; neither waits for the other. The copy is one file that needs no other, proven to be whole before it
// gets its name. A file that is there is never overwritten, and a copy that fails or is stopped leaves nothing behind.
//
// progress, which may be nil, is told how many of the pages are done.
func (b *Book) Backup(ctx context.Context, path string, progress func(done, total int)) error {
	err := place(path, func(temporary string) error {
		if err := b.copyTo(ctx, temporary, progress); err != nil {
			return err
		}
		return checkWhole(ctx, temporary)
	})
	if err != nil {
		return problem("copy "+path+" of the book "+b.at.now(), "write", err)
	}
	return nil
}

// copyTo copies the book: by a connection of its own, or by the only one that there can be.
func (b *Book) copyTo(ctx context.Context, to string, progress func(done, total int)) error {
	if b.alone != nil {
		return b.copyOpen(ctx, to, progress)
	}
	return copyInStretches(ctx, b.at.now(), to, progress)
}

// copyInStretches copies a book and puts each stretch on the disk before the next. All of it at once would let those wait who
// write to the same disk.
func copyInStretches(ctx context.Context, from, to string, progress func(done, total int)) error {
	f, err := os.OpenFile(to, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	err = copyPages(ctx, from, to, func(done, total int) {
		_ = f.Sync() // it is done again in the end
		if progress != nil {
			progress(done, total)
		}
	})
	return errors.Join(err, f.Close())
}

// copyPages copies a book into an empty file. It reads on a connection of its own in one transaction: so it sees one
// moment, and no change of somebody else starts the copy over.
func copyPages(ctx context.Context, from, to string, progress func(done, total int)) error {
	err := ownConnection(ctx, from, func(conn *sql.Conn) error {
		var tables int
		if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
			return err
		}
		if err := conn.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
			return err // the transaction ends with the connection
		}
		return copySeen(ctx, conn, to, progress)
	})
	if err != nil {
		return err
	}
	return asSingleFile(ctx, to)
}

// copySeen copies what a connection sees.
func copySeen(ctx context.Context, conn *sql.Conn, to string, progress func(done, total int)) error {
	return conn.Raw(func(driver any) error {
		copying, err := driver.(copier).NewBackup(dsn(to))
		if err != nil {
			return err
		}
		return copyAll(ctx, copying, progress)
	})
}

// asSingleFile gives a copy the journal mode of a file that lies by itself. It has the book's, with which other files would lie
// beside it as soon as it is looked at.
func asSingleFile(ctx context.Context, to string) error {
	return ownConnection(ctx, to, func(conn *sql.Conn) error {
		_, err := conn.ExecContext(ctx, "PRAGMA journal_mode = DELETE")
		return err
	})
}

// copier is what the driver's connections can do beside the usual.
type copier interface {
	NewBackup(to string) (*sqlite.Backup, error)
	NewRestore(from string) (*sqlite.Backup, error)
}

// ownConnection gives a connection of its own to a file.
func ownConnection(ctx context.Context, path string, work func(*sql.Conn) error) error {
	db, err := sql.Open("sqlite", dsn(path))
	if err != nil {
		return err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	return errors.Join(work(conn), conn.Close(), db.Close())
}

// copyAll copies stretch by stretch until all is done or ctx is.
func copyAll(ctx context.Context, copying *sqlite.Backup, progress func(done, total int)) error {
	for more := true; more; {
		err := ctx.Err()
		if err == nil {
			more, err = copying.Step(stretch)
		}
		if err != nil {
			_ = copying.Finish() // says the same once more
			return fmt.Errorf("stopped after %d of %d pages: %w", copying.PageCount()-copying.Remaining(), copying.PageCount(), err)
		}
		if progress != nil {
			progress(copying.PageCount()-copying.Remaining(), copying.PageCount())
		}
	}
	return copying.Finish()
}
