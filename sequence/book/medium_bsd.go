//go:build darwin || freebsd || dragonfly

package book

import (
	"strings"

	"golang.org/x/sys/unix"
)

// medium is the kind of the file system on which a file lies, as the system names it.
func medium(path string) string {
	var s unix.Statfs_t
	if unix.Statfs(path, &s) != nil {
		return ""
	}
	kind := unix.ByteSliceToString(s.Fstypename[:])
	if strings.Contains(kind, "fuse") {
		return "fuse." + kind
	}
	return kind
}
