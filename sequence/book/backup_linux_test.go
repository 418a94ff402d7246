package book

import (
	"context"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Copies and exports that do not fit on their disk leave nothing on it; mounting a small one needs the right to.
func TestBackupToAFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no disk to fill: %v", err)
	}
	t.Cleanup(func() { require.NoError(t, syscall.Unmount(dir, syscall.MNT_DETACH)) })
	b := fresh(t)
	thick(t, b)
	for name, write := range map[string]func(path string) error{
		"copy":   func(path string) error { return b.Backup(context.Background(), path, nil) },
		"export": func(path string) error { return b.ExportAll(context.Background(), path, nil) },
	} {
		path := filepath.Join(dir, name)
		assert.ErrorContains(t, write(path), "the disk is full; nothing was changed, free some space and try again")
		assert.Empty(t, files(t, dir))
	}
}
