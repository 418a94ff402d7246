package lot

import (
	"github.com/charmbracelet/bubbles/key"

	"pullcard/patterns/measure"
	"pullcard/sequence/verdict"
	"pullcard/tui/screen"
)

// KeyMap is what the keys of the screen do.
type KeyMap struct {
	Judge, More, Less, Same, Decide, Print, PageUp, PageDown, Leave key.Binding // on the sheet
	Up, Down, Choose, Number, Back                                  key.Binding // in the lists and lines
}

func newKeyMap(ascii bool) KeyMap {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	upDown := "↑↓"
	if ascii {
		upDown = "up/down"
	}
	return KeyMap{
		Judge:    bind("v", "keep a verdict", "v"),
		More:     bind("+ -", "more", "+", "=", "right"),
		Less:     bind("-", "less", "-", "left"),
		Same:     bind("0", "as suggested", "0"),
		Decide:   bind("enter", "decide", "enter"),
		Print:    bind("t", "tickets", "t"),
		PageUp:   bind("pgup/pgdn", "scroll", "pgup", "up"),
		PageDown: bind("pgup/pgdn", "scroll", "pgdown", "down"),
		Leave:    bind("q", "back", "q", "esc"),
		Up:       bind(upDown, "choose", "up", "k"),
		Down:     bind(upDown, "choose", "down", "j"),
		Choose:   bind("enter", "take it", "enter"),
		Number:   bind("1-7", "answer", "1", "2", "3", "4", "5", "6", "7"),
		Back:     bind("esc", "back", "esc"),
	}
}

// enabled are the keys with those switched off that cannot act.
func (k KeyMap) enabled(m Model) KeyMap {
	can := m.mode == reading && m.suggested() && m.sheet.Waiting > 0
	step := m.step()
	k.Judge.SetEnabled(m.mode == reading && len(m.sheet.Judgeable) > 0)
	k.More.SetEnabled(can)
	k.Less.SetEnabled(can && m.mains.Minus(step).Value() > 0 && m.crosses.Minus(step).Value() > 0)
	k.Same.SetEnabled(can && m.differs())
	k.Decide.SetEnabled(can || m.mode == deciding)
	k.Print.SetEnabled(m.mode == reading && len(m.sheet.Rackets) > 0)
	k.Number.SetEnabled(m.mode == answering)
	k.PageUp.SetEnabled(m.mode == reading)
	k.PageDown.SetEnabled(m.mode == reading)
	k.More.SetHelp("+ -", "by "+hundredths(step))
	return k
}

// step is the smallest usual one, in the unit of the mains.
func (m Model) step() measure.Tension {
	least := verdict.Answer{Way: verdict.TooLoose, Degree: verdict.ABit}
	return verdict.Usual().Size(least, m.sheet.Sport, m.sheet.Suggestion.Mains.Unit())
}

// shown are the keys that can act, for the foot; the help of one of a pair names both.
func (m Model) shown() (out []key.Binding) {
	k := m.keys
	list := []key.Binding{k.Judge, k.More, k.Same, k.Decide, k.PageUp, k.Print, k.Leave}
	switch m.mode {
	case picking:
		list = []key.Binding{k.Up, k.Choose, k.Back}
	case answering:
		list = []key.Binding{k.Number, k.Up, k.Choose, k.Back}
	case wording:
		k.Choose.SetHelp("enter", "keep the verdict")
		list = []key.Binding{k.Choose, k.Back}
	}
	for _, b := range list {
		if b.Enabled() {
			out = append(out, b)
		}
	}
	return out
}

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "Several rackets of one player with one set-up: the first goes out, the player says how it plays, and that sets those that wait. The figures are what they will be strung at; below stands what that rests on.",
		Keys: m.shown()}
}
