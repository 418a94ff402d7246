//go:build unix

package book

import (
	"io/fs"
	"syscall"
)

// links counts the names that a file has.
func links(info fs.FileInfo) uint64 {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(s.Nlink)
	}
	return 1
}
