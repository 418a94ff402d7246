package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"github.com/spf13/cobra"
)

// dash is what stands for standard input in place of a file's name.
const dash = "-"

// openInput opens what a command was asked to read: a regular file, or standard input where - asks for it. The first
// signal ends any reading.
func openInput(c *cobra.Command, path string) (io.ReadCloser, error) {
	if path != dash {
		f, err := openFile(path)
		return awaited{c.Context(), f}, err
	}
	if f, ok := c.InOrStdin().(*os.File); ok {
		info, err := f.Stat()
		if err != nil {
			return nil, err
		}
		if m := info.Mode(); !m.IsRegular() && m&(fs.ModeNamedPipe|fs.ModeSocket) == 0 {
			return nil, fmt.Errorf("%s, and nothing is piped in", sort(m))
		}
	}
	return awaited{c.Context(), io.NopCloser(c.InOrStdin())}, nil
}

// openFile opens a regular file and nothing else: a pipe may never be written to, and a device may have no end or move
// something when it is opened.
func openFile(path string) (*os.File, error) {
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
