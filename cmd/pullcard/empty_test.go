package main

import (
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// emptyName is the name under which this test binary is the empty program.
const emptyName = "empty-program"

// empty is the program that the bench is measured against: it paints a count of keys at the bench's frame rate and does
// nothing else.
func empty() {
	if _, err := tea.NewProgram(counter{}, tea.WithAltScreen(), tea.WithFPS(frames)).Run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// counter counts keys. Its screen is as large as the terminal and, but for the count, blank.
type counter struct{ keys, width, height int }

func (c counter) Init() tea.Cmd { return nil }

func (c counter) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		c.width, c.height = msg.Width, msg.Height
	case tea.KeyMsg:
		switch msg.String() {
		case "q":
			return c, tea.Quit
		case "backspace":
			c.keys--
		default:
			c.keys++
		}
	}
	return c, nil
}

func (c counter) View() string {
	if c.height == 0 {
		return ""
	}
	line := strings.Repeat(" ", c.width)
	return fmt.Sprintf("%d/%d", c.keys+1, emptySteps) + strings.Repeat("\n"+line, c.height-1)
}

// emptySteps is the total that the empty program shows.
const emptySteps = 64
