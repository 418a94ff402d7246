package book

import (
	"path/filepath"

	"golang.org/x/sys/windows"
)

// medium is "remote" for a file of another machine, empty for one of this.
func medium(path string) string {
	root, err := windows.UTF16PtrFromString(filepath.VolumeName(path) + `\`)
	if err == nil && windows.GetDriveType(root) == windows.DRIVE_REMOTE {
		return "remote"
	}
	return ""
}
