// Package screen is what the screens of the program have in common: the interface behind which the root stacks them, the
// messages by which they lead to one another, and how they are drawn.
//
// A screen is a Model of its own package that embeds a Look; Of makes it a Screen.
package screen

import (
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/theme"
)

// Screen is one screen of the program. The one on top of the stack is seen and gets the keys; every other message goes to
// all of them, so a screen ignores what it does not know.
type Screen interface {
	// Init starts the screen when it comes on the stack.
	Init() tea.Cmd
	Update(tea.Msg) (Screen, tea.Cmd)
	// View is the whole screen, exactly as wide and high as the terminal.
	View() string
	SetSize(width, height int) Screen
	SetTheme(theme.Theme) Screen
	// Typing says whether text is typed at the moment, so that it may be pasted too.
	Typing() bool
	// Once says whether a key counts once however long it is held down.
	Once(tea.KeyMsg) bool
	// Small says whether the screen only says that the terminal is too small for it.
	Small() bool
	// Help is what it tells of itself, empty where it does so on its own.
	Help() Help
}

// OpenMsg asks for another screen on top. Open is called away from the screen and may take its time; when another screen
// has come up meanwhile, what it makes is not shown. The error becomes a Notice on the screen that asked.
type OpenMsg struct {
	Open func() (Screen, error)
	// Instead takes the screen that asks off the stack, for the one that it leads on to.
	Instead bool
}

// LeaveMsg takes the screen that sends it off the stack; without any left the program ends. Said is what to say on the
// screen below, empty for nothing.
type LeaveMsg struct{ Said string }

// BackMsg tells a screen that it is up again, and which one was left.
type BackMsg struct{ Left Screen }

// StirMsg tells the screen that is up that other benches did something.
type StirMsg struct{}

// ScanMsg is the name of a job that was scanned where nothing is typed; a screen that finds by letters then types.
type ScanMsg struct{ Name string }

// Open asks for another screen.
func Open(open func() (Screen, error)) tea.Cmd { return func() tea.Msg { return OpenMsg{Open: open} } }

// Instead asks for another screen in place of this one.
func Instead(open func() (Screen, error)) tea.Cmd {
	return func() tea.Msg { return OpenMsg{Open: open, Instead: true} }
}

// Leave leaves the screen.
func Leave() tea.Msg { return LeaveMsg{} }

// model is a screen whose methods return its own type.
type model[M any] interface {
	Init() tea.Cmd
	Update(tea.Msg) (M, tea.Cmd)
	View() string
	SetSize(width, height int) M
	SetTheme(theme.Theme) M
	Typing() bool
	Once(tea.KeyMsg) bool
	Small() bool
	Help() Help
}

type of[M model[M]] struct{ m M }

// Of makes a model a screen.
func Of[M model[M]](m M) Screen { return of[M]{m} }

func (s of[M]) Init() tea.Cmd { return s.m.Init() }

func (s of[M]) Update(msg tea.Msg) (Screen, tea.Cmd) {
	m, cmd := s.m.Update(msg)
	return of[M]{m}, cmd
}

func (s of[M]) View() string                     { return s.m.View() }
func (s of[M]) SetSize(width, height int) Screen { return of[M]{s.m.SetSize(width, height)} }
func (s of[M]) SetTheme(t theme.Theme) Screen    { return of[M]{s.m.SetTheme(t)} }
func (s of[M]) Typing() bool                     { return s.m.Typing() }
func (s of[M]) Once(k tea.KeyMsg) bool           { return s.m.Once(k) }
func (s of[M]) Small() bool                      { return s.m.Small() }
func (s of[M]) Help() Help                       { return s.m.Help() }
