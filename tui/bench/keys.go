package bench

import (
	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"

	"pullcard/sequence/run"
	"pullcard/tui/theme"
)

// KeyMap is what the keys of the bench do.
type KeyMap struct {
	Done, Back, Earlier, Later, Slip, Wrong, Note, Numbers, Turn, Help, Leave key.Binding
	Confirm, Again, Up, Down, Cancel                                          key.Binding
}

func newKeyMap() KeyMap {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	return KeyMap{
		Done:    bind("space", "done", " ", "enter", "pgdown"),
		Back:    bind("⌫", "back", "backspace", "pgup"),
		Earlier: bind("← →", "look", "left"),
		Later:   bind("→", "look", "right"),
		Slip:    bind("s", "slipped", "s"),
		Wrong:   bind("w", "went wrong", "w"),
		Note:    bind("n", "note", "n"),
		Numbers: bind("b", "numbers", "b"),
		Turn:    bind("v", "turn", "v"),
		Help:    bind("?", "keys", "?"),
		Leave:   bind("q", "leave", "q"),
		Confirm: bind("enter", "yes", "enter"),
		Again:   bind("r", "no: pull it again", "r"),
		Up:      bind("↑", "up", "up", "k"),
		Down:    bind("↓", "down", "down", "j"),
		Cancel:  bind("esc", "never mind", "esc"),
	}
}

func newHelp(t theme.Theme) help.Model {
	h := help.New()
	quiet, text := t.Style(theme.Quiet), t.Style(theme.Text)
	h.Styles.ShortKey, h.Styles.FullKey = text, text
	h.Styles.ShortDesc, h.Styles.FullDesc = quiet, quiet
	h.Styles.ShortSeparator, h.Styles.FullSeparator, h.Styles.Ellipsis = quiet, quiet, quiet
	return h
}

// enabled lists the keys that can act now, in the order in which they are shown.
func (m Model) enabled() []key.Binding {
	k := m.keys
	switch m.mode {
	case resuming:
		return []key.Binding{k.Confirm, k.Again, k.Leave}
	case slipping, troubled:
		return []key.Binding{k.Up, k.Down, k.Confirm, k.Cancel}
	case asking, noting:
		k.Confirm.SetHelp("enter", "keep it")
		return []key.Binding{k.Confirm, k.Cancel}
	case helping:
		return []key.Binding{k.Cancel}
	}
	var out []key.Binding
	if !m.finished() {
		out = append(out, k.Done)
	}
	if m.state.CanBack() {
		out = append(out, k.Back)
	}
	if m.state.Steps() > 1 {
		out = append(out, k.Earlier) // its help names both arrows
	}
	if len(m.slips) > 0 {
		out = append(out, k.Slip)
	}
	if m.state.Status() == run.Open && m.state.Last() > 0 {
		out = append(out, k.Wrong)
	}
	if out = append(out, k.Note); m.job.Numbers != nil {
		out = append(out, k.Numbers)
	}
	return append(out, k.Turn, k.Help, k.Leave)
}

// allBindings lists every key of the bench.
func (m Model) allBindings() []key.Binding {
	k := m.keys
	return []key.Binding{k.Done, k.Back, k.Earlier, k.Slip, k.Wrong, k.Note, k.Numbers, k.Turn, k.Help, k.Leave}
}
