package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// keptAs stands in the name of a book that is kept, between its own and the time.
const keptAs = "-before-"

// KeptBeside lists the files that Restore has kept beside the book in a file.
func KeptBeside(path string) ([]string, error) {
	return filepath.Glob(strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path) + keptAs + "*") // a pattern that only this path matches
}

// Restored says what became of the book that was there before.
type Restored struct {
	Kept    string // the file in which it is kept; empty when there was none
	Damaged bool   // it was: it may have files beside it that begin with its name
	// Forgotten counts the players whom that book had forgotten and the copy had not. They are forgotten again.
	Forgotten int
}

// Restore puts a copy that Backup made in the place of the book in a file. The copy is proven to be whole first, and the
// book that is there is kept beside it under a name with the time. Another program that has the book open sees the
// change as one and not half of it; the caller itself has it closed. A book that is damaged is set aside as it is. When the error is not nil, the book is
// as it was, or is kept where Restored says.
func Restore(ctx context.Context, path, backup string, now time.Time) (Restored, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return Restored{}, problem("book "+path, "restore", err)
	}
	if err := mustBeRegular(abs); err != nil {
		return Restored{}, problem("book "+path, "restore", err)
	}
	if err := notItself(backup, abs); err != nil {
		return Restored{}, problem("copy "+backup, "restore", err)
	}
	if err := checkWhole(ctx, backup); err != nil {
		return Restored{}, problem("copy "+backup, "restore", err)
	}
	r := Restored{Kept: free(abs + keptAs + now.UTC().Format("20060102T150405Z"))}
	gone, err := r.put(ctx, abs, backup)
	if err == nil {
		err = renewAt(ctx, abs)
	}
	if err == nil {
		r.Forgotten, err = forgetAgain(ctx, abs, gone)
	}
	if err != nil {
		if vacant(r.Kept) != nil {
			err = fmt.Errorf("%w; the book that was there is kept in %s", err, r.Kept)
		}
		return r, problem("book "+abs, "restore "+backup, err)
	}
	return r, nil
}

// put keeps the present book and puts the copy in its place. It returns whom the book had forgotten.
func (r *Restored) put(ctx context.Context, path, backup string) (gone []string, err error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		r.Kept = ""
		if err := leftovers(path); err != nil {
			return nil, err
		}
		return nil, put(ctx, path, backup)
	}
	// SQLite would throw away what lies beside a file that it cannot read.
	legible, err := begins(path)
	if err != nil {
		return nil, err
	}
	if legible {
		if gone, err = r.exchange(ctx, path, backup); !damaged(err) {
			return gone, err
		}
	}
	r.Damaged = true
	r.Kept = free(r.Kept) // a copy of what could be read may lie there already
	if err := setAside(path, r.Kept); err != nil {
		return nil, err
	}
	return gone, put(ctx, path, backup)
}

// exchange keeps a copy of the book and writes the other copy over it.
func (r *Restored) exchange(ctx context.Context, path, backup string) (gone []string, err error) {
	if gone, err = forgottenIn(ctx, path); err != nil {
		return nil, err
	}
	if err := place(r.Kept, func(temporary string) error { return copyPages(ctx, path, temporary, nil) }); err != nil {
		return gone, err
	}
	return gone, overwrite(ctx, path, backup)
}

// begins says whether a file begins as a database does, or is empty still.
func begins(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	start := make([]byte, 16)
	n, _ := io.ReadFull(f, start) // what cannot be read SQLite will say
	if err := f.Close(); err != nil {
		return false, err
	}
	return n == 0 || string(start) == "SQLite format 3\x00", nil
}

// put puts a copy where no book is.
func put(ctx context.Context, path, backup string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return place(path, func(temporary string) error { return copyPages(ctx, backup, temporary, nil) })
}

// overwrite writes a copy over a book as one transaction.
func overwrite(ctx context.Context, path, backup string) error {
	return ownConnection(ctx, path, func(conn *sql.Conn) error {
		return conn.Raw(func(driver any) error {
			copying, err := driver.(copier).NewRestore(dsn(backup))
			if err != nil {
				return err
			}
			return copyAll(ctx, copying, nil)
		})
	})
}

// forgottenIn lists the players whom a book has forgotten, and says when the file is no book that may be replaced.
func forgottenIn(ctx context.Context, path string) (list []string, err error) {
	db, m, err := openReadOnly(ctx, path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if m.version < 3 { // there were no records yet
		return nil, nil
	}
	return column[string](ctx, db, "SELECT uid FROM records WHERE state = 'forgotten'")
}

// renewAt begins a new epoch in a book: what the former one wrote since the copy was made has numbers that this one would give again.
func renewAt(ctx context.Context, path string) (err error) {
	b, err := Open(ctx, path)
	if err != nil {
		return err
	}
	return errors.Join(b.Renew(ctx), b.Close())
}

// forgetAgain forgets the players once more whom the former book had forgotten. Of those whom the copy does not know there is
// nothing to forget.
func forgetAgain(ctx context.Context, path string, players []string) (n int, err error) {
	if len(players) == 0 {
		return 0, nil
	}
	b, err := Open(ctx, path)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	for _, uid := range players {
		p, err := readRecords(ctx, b.db, selectRecords+" WHERE uid = ?", uid)
		if err != nil {
			return n, err
		}
		if len(p) == 0 || p[0].State == Forgotten {
			continue
		}
		if _, err := b.Forget(ctx, uid); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// setAside gives a damaged book and the files beside it another name.
func setAside(path, to string) error {
	for i, more := range companions() {
		err := os.Rename(path+more, to+more)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			for _, done := range companions()[:i] {
				_ = os.Rename(to+done, path+done) // what was there is as it was, as far as that goes
			}
			return fmt.Errorf("set the damaged book aside: %w", err)
		}
	}
	return nil
}
