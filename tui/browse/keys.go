package browse

import (
	"github.com/charmbracelet/bubbles/key"

	"pullcard/tui/screen"
)

// KeyMap is what the keys of the book do; in the list and in the form all others are typed.
type KeyMap struct {
	Up, Down, PageUp, PageDown, Left, Right, Open, Back, Erase key.Binding
	New                                                        key.Binding // in the list
	Correct, Add, Fill, Away, Bench, Lot, Print, Sheet, Hand   key.Binding // on a page
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
		Fill:     bind("f", "fill", "f"),
		Away:     bind("d", "remove", "d"),
		Bench:    bind("o", "on the bench", "o"),
		Lot:      bind("v", "verdicts", "v"),
		Print:    bind("t", "ticket", "t"),
		Sheet:    bind("w", "sheet", "w"),
		Hand:     bind("h", "hand over", "h"),
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

// Help is what the screen is for, and its keys; where text is typed f1 asks for it.
func (m Model) Help() screen.Help {
	h := screen.Help{Keys: m.enabled()}
	switch m.at {
	case onList:
		h.Text, h.Empty = "The record book: a few letters find a record by its name, or by the names of those to whom it belongs; several words in any order.", m.list.letters == ""
	case onPage:
		h.Text = "One record: what it says, what it said before, and below it all that belongs to it. A line with a mark opens."
	default:
		h.Text = "A record is filled in: enter goes on, a field that names a record is filled by a few of its letters. What looks wrong is asked about before it is kept."
	}
	return h
}
