package main

import (
	"database/sql"
	"fmt"
	"os"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// The names under which this test binary is one of the programs that the bench is measured against.
const emptyName, syncingName = "empty-program", "syncing-program"

// frames is how often a second bubbletea paints at most: its highest rate, for the shortest way from key to picture that it has.
const frames = 120

// empty paints a count of keys and does nothing else.
func empty() { count(counter{}) }

// syncing is empty that first has each key on the disk, as an event of the plainest book: SQLite as the book sets it up, in the file
// that it is called with.
func syncing() {
	db, err := sql.Open("sqlite", "file:"+os.Args[1]+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	if err == nil {
		_, err = db.Exec("CREATE TABLE events (seq INTEGER PRIMARY KEY, at TEXT, what TEXT)")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	count(counter{keep: func() error {
		_, err := db.Exec("INSERT INTO events (at, what) VALUES (?, 'done')", time.Now().Format(time.RFC3339Nano))
		return err
	}})
}

func count(c counter) {
	if _, err := tea.NewProgram(c, tea.WithAltScreen(), tea.WithFPS(frames)).Run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// counter counts keys, each once it was kept where it keeps them. Its screen is as large as the terminal and, but for the count, blank.
type counter struct {
	keys, width, height int
	keep                func() error
}

// kept says that a key was.
type kept struct{}

func (c counter) Init() tea.Cmd { return nil }

func (c counter) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		c.width, c.height = msg.Width, msg.Height
	case tea.KeyMsg:
		switch msg.String() {
		case "q":
			return c, tea.Quit
		default:
			if c.keep == nil {
				c.keys++
				break
			}
			return c, func() tea.Msg {
				if c.keep() != nil {
					return tea.Quit()
				}
				return kept{}
			}
		}
	case kept:
		c.keys++
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
