package book

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// place makes a new file for its owner's eyes only. write fills a temporary one beside it, which gets the name once it is
// whole and on the disk; what is there already stays. Nothing is left behind when it fails.
func place(path string, write func(temporary string) error) (err error) {
	if err := vacant(path); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".pullcard-*")
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no folder %s; make it first", filepath.Dir(path))
	}
	if err != nil {
		return err
	}
	defer func() {
		for _, more := range companions() {
			err = errors.Join(err, gone(f.Name()+more))
		}
	}()
	if err := f.Close(); err != nil {
		return err
	}
	if err := write(f.Name()); err != nil {
		return err
	}
	if err := flush(f.Name()); err != nil {
		return err
	}
	return settle(f.Name(), path)
}

// companions are what the names of the files add that may lie beside a book; the first is the book itself.
func companions() []string { return []string{"", "-wal", "-shm", "-journal"} }

// blankFile makes an empty file to copy into. SQLite gives its companion files the same mode.
func blankFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// leftovers gives another name to what lies beside a book that is not there, as after somebody deleted the book alone:
// SQLite would take it for the new book's own.
func leftovers(path string) error {
	left := false
	for _, more := range companions()[1:] {
		left = left || vacant(path+more) != nil
	}
	if _, err := os.Stat(path); !left || err == nil { // somebody has made it meanwhile
		return nil
	}
	to := path + "-left"
	for n := 2; ; n++ {
		taken := false
		for _, more := range companions() {
			taken = taken || vacant(to+more) != nil
		}
		if !taken {
			return setAside(path, to)
		}
		to = fmt.Sprintf("%s-left-%d", path, n)
	}
}

func vacant(path string) error {
	_, err := os.Lstat(path)
	if err == nil {
		return errors.New("the file is there already and stays as it is; name another one")
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

func gone(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// flush puts a file on the disk.
func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// settle gives a file its name. A link never takes the place of another file; where the disk has no links, as on a stick,
// a rename has to do, after one more look.
func settle(temporary, path string) error {
	if err := os.Link(temporary, path); err != nil {
		if err := vacant(path); err != nil {
			return err
		}
		if err := os.Rename(temporary, path); err != nil {
			return err
		}
	}
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return nil // the file is there; some systems have no folders to flush
	}
	_ = dir.Sync() // likewise
	return dir.Close()
}

// free is a name that no file has: the one that is asked for, or that with a number.
func free(path string) string {
	name := path
	for n := 2; vacant(name) != nil && !strings.HasSuffix(name, "-99"); n++ {
		name = fmt.Sprintf("%s-%d", path, n)
	}
	return name
}
