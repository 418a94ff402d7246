package frame

import (
	"github.com/charmbracelet/bubbles/key"

	"pullcard/tui/screen"
)

// KeyMap is what the keys of the form do; all others are typed.
type KeyMap struct{ Next, Up, Down, Change, Save, Picture, Cancel key.Binding }

func newKeyMap() KeyMap {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	return KeyMap{
		Next:    bind("enter", "next", "enter"),
		Up:      bind("↑", "up", "up", "shift+tab"),
		Down:    bind("↑↓", "move", "down", "tab"),
		Change:  bind("→", "change", "right"),
		Save:    bind("ctrl+s", "save", "ctrl+s"),
		Picture: bind("ctrl+p", "picture", "ctrl+p"),
		Cancel:  bind("esc", "leave", "esc"),
	}
}

// enabled lists the keys that can act now, in the order in which they are shown.
func (m Model) enabled() []key.Binding {
	k := m.keys
	if m.kept != "" {
		k.Next.SetHelp("enter", "leave")
		return []key.Binding{k.Next}
	}
	if m.showing {
		k.Cancel.SetHelp("esc", "back to the form")
		return []key.Binding{k.Cancel}
	}
	switch {
	case m.at == fSave:
		k.Next.SetHelp("enter", "save")
	case m.offered() != "":
		k.Next.SetHelp("enter", "take")
	}
	if m.ASCII {
		k.Change.SetHelp("right", "change")
		k.Down.SetHelp("up/down", "move")
	}
	out := []key.Binding{k.Next}
	if m.hidden() {
		out = append(out, k.Picture)
	}
	if m.at != fSave {
		out = append(out, k.Save)
	}
	out = append(out, k.Cancel)
	if m.offered() != "" {
		out = append(out, k.Change)
	}
	return append(out, k.Down)
}

// Help is what the screen is for, and its keys; f1 asks for it, as all else is typed.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "A new layout, from the card that came with the frame: the picture shows it as it is typed, and what is wrong stands beside its field.", Keys: m.enabled()}
}
