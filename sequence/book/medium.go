package book

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// SharedError says that a book lies where other machines may write, too. There SQLite's locks need not hold, and its write-ahead log,
// which wants memory that all openers share, works on one machine only.
type SharedError struct {
	Path string
	Disk string // the kind of the file system, as the system names it
	Asks bool   // a program provides the folder, and only a person knows what is behind it
}

// Error says what it is and what would do.
func (e *SharedError) Error() string {
	what := fmt.Sprintf("it lies on a network disk (%s)", e.Disk)
	if e.Asks {
		what = fmt.Sprintf("it lies in a folder that a program provides (%s), which may be on another machine", e.Disk)
	}
	return "book " + e.Path + ": open: " + what + ", where two machines can write over each other; keep it on a disk of this machine " +
		"(several benches share by pullcard room), or open it alone, slower and with no second program, with --network-disk"
}

// shared says why a file should not be opened as usual, nil when it lies on a disk of this machine or nothing is known of the disk.
func shared(path string, medium func(string) string) error {
	kind := medium(existing(path))
	switch {
	case kind == "fuse" || strings.HasPrefix(kind, "fuse."):
		return &SharedError{Path: path, Disk: kind, Asks: true}
	case networks()[kind]:
		return &SharedError{Path: path, Disk: kind}
	}
	return nil
}

// networks are the file systems that other machines may write to as well, by the names that Linux, macOS and the BSDs have for them;
// "remote" is what Windows calls such a drive.
func networks() map[string]bool {
	kinds := map[string]bool{}
	for _, k := range []string{"nfs", "smb", "smb2", "cifs", "smbfs", "9p", "afs", "afpfs", "webdav", "ncp", "coda", "ceph", "gfs2", "ocfs2", "vboxsf", "remote"} {
		kinds[k] = true
	}
	return kinds
}

// existing is the nearest folder of a path that is there, links followed, as the file may have to be made yet.
func existing(path string) string {
	for {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			return real
		}
		up := filepath.Dir(path)
		if up == path {
			return string(os.PathSeparator)
		}
		path = up
	}
}
