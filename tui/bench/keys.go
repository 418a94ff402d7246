package bench

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/charmbracelet/bubbles/key"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/screen"
)

// KeyMap is what the keys of the bench do.
type KeyMap struct {
	Done, Back, Earlier, Later, Slip, Wrong, Why, Note, Numbers, Tap, Turn, Mirror, Repeat, Far, Park, Journal, Help, Leave key.Binding
	Confirm, Again, Up, Down, Page, Cancel                                                                                  key.Binding
}

// newKeyMap is the bench's keys, with further ones for some of them.
func newKeyMap(more map[string][]string) KeyMap {
	k := usualKeys()
	for act, b := range map[string]*key.Binding{
		"done": &k.Done, "back": &k.Back, "slip": &k.Slip, "wrong": &k.Wrong, "why": &k.Why, "note": &k.Note, "turn": &k.Turn, "mirror": &k.Mirror, "repeat": &k.Repeat, "far": &k.Far,
		"numbers": &k.Numbers, "park": &k.Park, "leave": &k.Leave,
	} {
		b.SetKeys(append(b.Keys(), more[act]...)...)
	}
	return k
}

func usualKeys() KeyMap {
	bind := func(show, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, what))
	}
	return KeyMap{
		Done:    bind("space", "done", " ", "enter", "pgdown"),
		Back:    bind("⌫", "back", "backspace", "pgup"),
		Earlier: bind("← →", "look", "left"),
		Later:   bind("→", "look", "right"),
		Slip:    bind("s", "slip", "s"),
		Wrong:   bind("w", "wrong", "w"),
		Why:     bind("y", "why", "y"),
		Note:    bind("n", "note", "n"),
		Numbers: bind("b", "numbers", "b"),
		Tap:     bind("t", "tap", "t"),
		Turn:    bind("v", "turn", "v"),
		Mirror:  bind("m", "other side", "m"),
		Repeat:  bind("r", "say again", "r"),
		Far:     bind("f", "far", "f"),
		Park:    bind("p", "park", "p"),
		Journal: bind("j", "journal", "j"),
		Help:    bind("?", "keys", "?"),
		Leave:   bind("q", "leave", "q"),
		Confirm: bind("enter", "yes", "enter"),
		Again:   bind("n", "no", "n", "r"),
		Up:      bind("↑", "up", "up", "k"),
		Down:    bind("↓", "down", "down", "j"),
		Page:    bind("pgup pgdn", "page", "pgup", "pgdown"),
		Cancel:  bind("esc", "never mind", "esc"),
	}
}

// narrow is the width below which the line has room for the keys that are needed in a hurry only.
const narrow = 40

// enabled lists the keys that can act now, as many as a line of that width has room for, in the order in which they are shown.
func (m Model) enabled(width int) []key.Binding {
	k := m.keys
	switch m.mode {
	case resuming:
		return []key.Binding{k.Confirm, k.Again, k.Leave}
	case choosing:
		q := m.asked[len(m.asked)-1]
		k.Up.SetHelp(fmt.Sprintf("%0*d–%d ↑ ↓", len(strconv.Itoa(q.Last())), 1, q.Last()), "choose")
		if q.Last() == 1 {
			k.Up.SetHelp("1 ↑ ↓", "choose")
		}
		k.Up.SetEnabled(q.Last() > 1 || q.at == none)
		k.Confirm.SetHelp("enter space", "this one")
		k.Confirm.SetEnabled(q.at != none)
		if q.typed == "0" {
			k.Up.SetHelp("0, then 1–9", "choose")
		}
		if n, _ := strconv.Atoi(q.typed); n > 0 { // it may be the first figure of a number
			on := fmt.Sprintf("%d–%d", n*10, min(n*10+9, q.Last()))
			if q.Last() == n*10 {
				on = strconv.Itoa(n * 10)
			}
			k.Confirm.SetHelp("enter", fmt.Sprintf("%d, or go on to %s", n, on))
		}
		k.Cancel.SetHelp("esc", "back")
		if all := []key.Binding{k.Up, k.Confirm, k.Cancel}; screen.KeysWidth(m.help, all...) <= width {
			return all
		}
		return []key.Binding{k.Confirm, k.Cancel}
	case asking:
		k.Confirm.SetHelp("enter", "keep it; alone: no answer")
		return []key.Binding{k.Confirm}
	case deciding, noting:
		k.Confirm.SetHelp("enter", "keep it")
		return []key.Binding{k.Confirm, k.Cancel}
	case helping:
		return []key.Binding{k.Cancel}
	}
	// What does not fit a narrow screen is on the page of all keys.
	open, started := m.state.Status() == progress.Open, m.state.Last() > 0
	mounting := m.step().Phase == plan.PhaseMount // as the picture is turned like the frame on the machine
	var out []key.Binding
	for _, a := range m.after() {
		if with := append(out[:len(out):len(out)], a.Key); screen.KeysWidth(m.help, with...) <= width {
			out = with
		}
	}
	if m.far {
		k.Far.SetHelp("f", "far is on")
	}
	if m.scene.pressed.Felt {
		k.Done.SetHelp("1 2", "what you felt")
	}
	for _, b := range []struct {
		key key.Binding
		can bool
	}{
		{k.Done, !m.finished() && (width >= narrow || !started)},
		{k.Back, m.state.CanBack() && width >= narrow},
		{k.Help, true},
		{k.Leave, width >= narrow},
		{k.Slip, m.scene.slips},
		{k.Wrong, open && started},
		{k.Why, len(m.why) > 0},
		{k.Journal, m.finished()},
		{k.Tap, m.canTap()},
		{k.Far, m.far},
		{k.Turn, mounting && !m.far},
		{k.Earlier, m.state.Steps() > 1}, // its help names both arrows
		{k.Repeat, m.set.Say != nil},
		{k.Note, true},
		{k.Far, !m.far},
		{k.Numbers, m.job.Numbers != nil},
		{k.Turn, !mounting && !m.far},
		{k.Park, m.canPark()},
	} {
		if !b.can {
			continue
		}
		if m.look > 0 && b.key.Help() == k.Done.Help() {
			b.key.SetHelp("space", "back to the work")
		}
		if with := append(out[:len(out):len(out)], b.key); screen.KeysWidth(m.help, with...) <= width {
			out = with
		}
	}
	last := slices.DeleteFunc(slices.Clone(out), func(b key.Binding) bool { return !m.closes(b) })
	return append(slices.DeleteFunc(out, m.closes), last...)
}

// closes says whether a key stands at the end of the line: all keys, and leave.
func (m Model) closes(b key.Binding) bool {
	return b.Help() == m.keys.Help.Help() || b.Help() == m.keys.Leave.Help()
}

// Help tells nothing: the bench has a page of its own, on which its keys go on working.
func (m Model) Help() screen.Help { return screen.Help{} }
