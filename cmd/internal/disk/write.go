package disk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteNew writes a whole file or none, for its owner's eyes only; a file that is there stays.
func WriteNew(path string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	err := Create(path, b.Bytes(), 0o600)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and stays as it is; name another file", path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w; name a file that can be written", path, err)
	}
	return nil
}

// WriteText is WriteNew of a text.
func WriteText(path, text string) error {
	return WriteNew(path, func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// Create writes a file that is not there, whole or not at all. The error wraps fs.ErrExist where it is there.
func Create(path string, text []byte, mode fs.FileMode) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// Replace writes a file beside the old one and puts it in its place, so that no half of it is ever there.
func Replace(path string, text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".pullcard-*")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Sync(), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// RemoveBook takes a record book away that was made just now and never written to, with the files that belong to it.
func RemoveBook(path string) error {
	err := os.Remove(path)
	for _, end := range []string{"-wal", "-shm"} {
		if wrong := os.Remove(path + end); !errors.Is(wrong, fs.ErrNotExist) {
			err = errors.Join(err, wrong)
		}
	}
	return err
}
