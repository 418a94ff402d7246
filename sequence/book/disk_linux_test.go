package book

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFullDisk fills a small disk in memory to the last byte; mounting one needs the right to.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no disk to fill: %v", err)
	}
	t.Cleanup(func() { require.NoError(t, syscall.Unmount(dir, syscall.MNT_DETACH)) }) // after the book is closed
	filler := filepath.Join(dir, "filler")
	fails(t, open(t, filepath.Join(dir, "book")), "the disk is full; nothing was changed, free some space and try again",
		func() { fill(t, filler) },
		func() { require.NoError(t, os.Remove(filler)) })
}

func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
}

// What is no file is called what it is, before anything waits for it.
func TestMustBeRegular(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	require.ErrorContains(t, mustBeRegular(pipe), "a pipe")
	require.ErrorContains(t, mustBeRegular(os.DevNull), "a device")
	require.NoError(t, mustBeRegular(t.TempDir()))
}
