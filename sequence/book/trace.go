package book

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// trace is how the files of an open book lay when they were last looked at. An open file outlives its name: SQLite goes on
// writing into a book that was deleted, and nobody finds it again. So it is held against what the path leads to. The files
// are never opened for that: closing them would take SQLite's locks away.
type trace struct {
	path, real string // the name that was given, and the one to which links lead
	files      [3]fs.FileInfo
	first      fs.FileInfo // the book's own file when the trace began
	alone      *sole       // nil where others may open it
}

// parts are the files of a book that is in use, as companions.
const (
	main = iota
	journal
	index
)

// follow begins a trace. before is what the path led to when SQLite was not yet asked to open it.
func follow(path string, before fs.FileInfo, alone *sole) (*trace, error) {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, err
	}
	t := &trace{path: path, real: real, alone: alone}
	t.files[main] = before
	if why, _ := t.look(true); why != "" {
		return nil, errors.New(why)
	}
	t.first = t.files[main]
	return t, nil
}

// untouched says whether the book's own file is as it was when the trace began: all that was written since is in the journal.
func (t *trace) untouched() bool {
	is, err := os.Stat(t.path)
	return err == nil && is.Size() == t.first.Size() && is.ModTime().Equal(t.first.ModTime())
}

// look says why the path does not lead to the open book any more, empty when it does. Where it does, but a file has become
// shorter or somebody has written to the book's own, its content has to be looked at: to empty a journal or to bring the
// book up to it is SQLite's right. A write of ours may have done the latter.
func (t *trace) look(wrote bool) (why string, suspicious bool) {
	for i, more := range companions()[:len(t.files)] {
		path, was := t.real+more, t.files[i]
		if i == main {
			path = t.path
		}
		is, err := os.Stat(path)
		switch {
		case was == nil && errors.Is(err, fs.ErrNotExist):
			continue // it has not been made yet
		case errors.Is(err, fs.ErrNotExist):
			return fmt.Sprintf("%s was deleted or renamed", filepath.Base(path)), false
		case err != nil:
			return fmt.Sprintf("%s cannot be found any more (%v)", filepath.Base(path), err), false
		case was != nil && !os.SameFile(was, is):
			return fmt.Sprintf("another file has taken the place of %s", filepath.Base(path)), false
		case links(is) != 1:
			return fmt.Sprintf("%s has a second name (a hard link), and what is written under one is lost under the other", filepath.Base(path)), false
		case i == main && is.Size() == 0:
			return fmt.Sprintf("%s was emptied", filepath.Base(path)), false
		}
		if was != nil && (is.Size() < was.Size() || !wrote && i == main && !is.ModTime().Equal(was.ModTime())) {
			suspicious = true
		}
		t.files[i] = is
	}
	if t.alone != nil && !t.alone.stands() {
		return fmt.Sprintf("%s was taken away, which says that this program has the book alone, so that another machine may have opened it", filepath.Base(t.alone.path)), false
	}
	return "", suspicious
}

// waitSingleLink waits a moment for a file that gets its name just now, which takes two for an instant.
func waitSingleLink(ctx context.Context, path string) (fs.FileInfo, error) {
	for tries := 0; ; tries++ {
		info, err := os.Stat(path)
		if err != nil {
			return nil, err
		}
		switch {
		case info.IsDir():
			return nil, errors.New("that is a folder; name a file for the book")
		case info.Size() < 2: // SQLite takes one byte for none
			return nil, errors.New("the file is as good as empty and is no book; remove it, put back a copy (pullcard book restore FILE) or name another file")
		case links(info) == 1:
			return info, nil
		case tries == 20:
			return nil, fmt.Errorf("the file has %d names (hard links), and what is written under one is lost under the others; remove the others, or work on a copy", links(info))
		}
		select {
		case <-time.After(10 * time.Millisecond):
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}
