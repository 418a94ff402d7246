package rack

import (
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
)

// Door is a key that leads to another screen.
type Door struct {
	Key, Help string
	// Short is the help on a narrow screen, empty for the same; below From columns the foot does not name the key.
	Short string
	From  int
	// Stays says that the screen is found again as it was left.
	Stays bool
	Open  func() (screen.Screen, error)

	left screen.Screen
}

// take opens the screen behind a door.
func (d Door) take() tea.Cmd {
	if d.left != nil {
		return screen.Open(func() (screen.Screen, error) { return d.left, nil })
	}
	return screen.Open(d.Open)
}
