// Package background keeps the program from waiting for a terminal that does not answer.
//
// While it starts, bubbletea asks the terminal for the colour of its background and waits up to five seconds for the
// answer. Once lipgloss has been told the colour nothing is asked. Packages that are ready are initialised in the order
// of their import paths (Go specification, "Program initialization"), so a package that has to come before
// github.com/charmbracelet/bubbletea needs a path that sorts before it: that is why this is a module of its own, whose path
// begins with a name that no domain can have ("invalid", RFC 2606). Which background the terminal really has is asked
// later, without waiting.
package background

import "github.com/charmbracelet/lipgloss"

// Told says that lipgloss knows a background; importing the package is what matters.
var Told = tell()

func tell() bool {
	lipgloss.SetHasDarkBackground(true)
	return true
}
