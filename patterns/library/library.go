// Package library holds the built-in layouts and technique sheets. All frames are invented.
//
// Call Layout or Technique with a name, or list the names.
package library

import (
	"embed"
	"io/fs"
	"strings"
)

//go:embed layouts/*.toml techniques/*.toml
var files embed.FS

// Layout is the file of a built-in layout, as "club-sixteen"; ok is false when there is none of that name.
func Layout(name string) (data []byte, ok bool) { return read("layouts", name) }

// Technique is the file of a built-in technique sheet, as "two-piece-skip".
func Technique(name string) (data []byte, ok bool) { return read("techniques", name) }

// Layouts are the names of the built-in layouts, sorted.
func Layouts() []string { return list("layouts") }

// Techniques are the names of the built-in technique sheets, sorted.
func Techniques() []string { return list("techniques") }

func read(folder, name string) ([]byte, bool) {
	data, err := files.ReadFile(folder + "/" + name + ".toml")
	return data, err == nil
}

func list(folder string) []string {
	entries, err := fs.ReadDir(files, folder)
	if err != nil {
		panic(err) // the folder is built into the program
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), ".toml")
	}
	return names
}
