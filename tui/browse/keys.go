package browse

import (
	"github.com/charmbracelet/bubbles/key"
)

// KeyMap is what the keys of the book do; in the list and in the form all others are typed.
type KeyMap struct {
	Up, Down, PageUp, PageDown, Left, Right, Open, Back, Erase key.Binding
	New                                                        key.Binding // in the list
	Correct, Add, Away, Bench, Lot                             key.Binding // on a page
	Keep, Next, Previous                                       key.Binding // in the form
}

func newKeyMap(ascii bool) KeyMap {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	upDown, leftRight := "↑↓", "←→"
	if ascii {
		upDown, leftRight = "up/down", "left/right"
	}
	return KeyMap{
		Up:       bind(upDown, "choose", "up"),
		Down:     bind(upDown, "choose", "down"),
		PageUp:   bind("pgup", "up", "pgup"),
		PageDown: bind("pgdown", "down", "pgdown"),
		Left:     bind(leftRight, "kind", "left", "shift+tab"),
		Right:    bind(leftRight, "kind", "right", "tab"),
		Open:     bind("enter", "open", "enter"),
		Back:     bind("esc", "back", "esc"),
		Erase:    bind("backspace", "take off", "backspace"),
		New:      bind("ctrl+n", "add", "ctrl+n"),
		Correct:  bind("e", "correct", "e"),
		Add:      bind("a", "add", "a"),
		Away:     bind("d", "remove", "d"),
		Bench:    bind("o", "on the bench", "o"),
		Lot:      bind("v", "verdicts", "v"),
		Keep:     bind("ctrl+s", "keep", "ctrl+s"),
		Next:     bind("tab", "next", "tab"),
		Previous: bind("shift+tab", "previous", "shift+tab"),
	}
}

// named is a binding under another name.
func named(b key.Binding, what string) key.Binding {
	b.SetHelp(b.Help().Key, what)
	return b
}

// enabled lists the keys that can act now, in the order in which they are shown.
func (m Model) enabled() []key.Binding {
	switch m.at {
	case onPage:
		return m.pageKeys()
	case onForm:
		return m.formKeys()
	}
	return m.listKeys()
}
