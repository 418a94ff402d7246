// Package disk is the files of this machine: what commands and jobs name is read from here, and what is asked for is written
// whole or not at all.
//
// Files is what a shop reads with, Open what a command was asked to read; Create, WriteNew and Replace write.
package disk

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"pullcard/patterns/source"
	"pullcard/sequence/shop"
)

// Files is what a shop reads with.
func Files() shop.Files { return shop.Files{Read: Read, Whole: whole} }

// whole is the whole path of a file; where the folder cannot be told it stays as it is.
func whole(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}

// Read reads a regular file up to the limit of what is read.
func Read(path string) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	return all(f)
}

// ReadAsked is Read of what Open opens.
func ReadAsked(ctx context.Context, stdin io.Reader, path string) ([]byte, error) {
	f, err := Open(ctx, stdin, path)
	if err != nil {
		return nil, err
	}
	return all(f)
}

// all reads up to the limit, whatever the size is said to be, and closes.
func all(f io.ReadCloser) ([]byte, error) {
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, source.Limit+1))
	if err == nil && len(data) > source.Limit {
		err = fmt.Errorf("it has more than the %d bytes that are read", source.Limit)
	}
	return data, err
}

// Open opens what a command was asked to read: a regular file, or standard input where shop.Piped asks for it. The end of the
// context ends any reading.
func Open(ctx context.Context, stdin io.Reader, path string) (io.ReadCloser, error) {
	if path != shop.Piped {
		f, err := open(path)
		return awaited{ctx, f}, err
	}
	if f, ok := stdin.(*os.File); ok {
		info, err := f.Stat()
		if err != nil {
			return nil, err
		}
		if m := info.Mode(); !m.IsRegular() && m&(fs.ModeNamedPipe|fs.ModeSocket) == 0 {
			return nil, fmt.Errorf("%s, and nothing is piped in", sort(m))
		}
	}
	return awaited{ctx, io.NopCloser(stdin)}, nil
}

// open opens a regular file and nothing else: a pipe may never be written to, and a device may have no end or move
// something when it is opened.
func open(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err == nil {
		err = regular(info)
	}
	if err != nil {
		return nil, err
	}
	// A pipe that took the file's place meanwhile does not hold the opening up.
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	if info, err = f.Stat(); err == nil {
		err = regular(info)
	}
	if err != nil {
		_ = f.Close() // nothing was written
		return nil, err
	}
	return f, nil
}

func regular(info fs.FileInfo) error {
	switch m := info.Mode(); {
	case m.IsRegular():
		return nil
	case m.IsDir():
		return syscall.EISDIR
	default:
		return fmt.Errorf("%s and no file; what is piped in is read where - asks for it", sort(m))
	}
}

// sort says what else than a file it is.
func sort(m fs.FileMode) string {
	switch {
	case m&fs.ModeNamedPipe != 0:
		return "it is a pipe"
	case m&fs.ModeSocket != 0:
		return "it is a socket"
	}
	return "it is a device"
}

// awaited is a reader that may have nothing to give for ever; the end of the context ends the waiting.
type awaited struct {
	ctx context.Context
	io.ReadCloser
}

// Read reads beside, so that a reading which does not come back is left behind.
func (a awaited) Read(p []byte) (int, error) {
	type piece struct {
		data []byte
		err  error
	}
	came := make(chan piece, 1)
	go func() {
		data := make([]byte, len(p)) // p is the caller's again when the waiting has ended
		n, err := a.ReadCloser.Read(data)
		came <- piece{data[:n], err}
	}()
	select {
	case <-a.ctx.Done():
		return 0, a.ctx.Err()
	case got := <-came:
		return copy(p, got.data), got.err
	}
}
