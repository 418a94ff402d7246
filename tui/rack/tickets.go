package rack

import (
	"context"
	"fmt"
	"maps"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// canEnter says whether the chosen racket waits and may be entered as strung.
func (m Model) canEnter() bool {
	item, some := m.chosen()
	return some && item.UID != "" && !item.Begun && item.Trouble == ""
}

// askStrung asks where the chosen racket was strung so many days ago.
func (m Model) askStrung(ago int) Model {
	m.asked, m.ago = askStrung, ago
	other := m.Sign("←", "left") + ": a day earlier"
	if ago > 0 {
		other = m.Sign("← →", "left right") + ": another day"
	}
	return m.Say(screen.Notice{Text: fmt.Sprintf("%s: was it strung elsewhere (y), or here and written down on paper (p)? %s; any other key leaves it waiting", m.strungOn(), other), Role: theme.Warn})
}

// strungOn is the day for which the chosen racket would be entered.
func (m Model) strungOn() string {
	if m.ago == 0 {
		return "today"
	}
	return m.strungAt().Format("Monday, 2 January")
}

// strungAt is the time of day that it is now, on that day.
func (m Model) strungAt() time.Time { return m.now().AddDate(0, 0, -m.ago) }

// strung enters the chosen racket as strung.
func (m Model) strung(why string) tea.Cmd {
	item, _ := m.chosen()
	s, at, said := m.shop, m.strungAt(), fmt.Sprintf("%s is entered as strung %s, %s", item.Title, why, m.strungOn())
	return func() tea.Msg {
		if err := s.EnterStrung(context.Background(), item.UID, why, at); err != nil {
			return screen.Wrong(err.Error())
		}
		items, err := s.Items()
		return itemsMsg{items, err, said}
	}
}

// mark puts a racket to those whose tickets are printed together, or takes it away, and goes on to the next.
func (m Model) mark(of string) Model {
	m.marks = maps.Clone(m.marks)
	if m.marks == nil {
		m.marks = map[string]bool{}
	}
	if m.marks[of] {
		delete(m.marks, of)
	} else {
		m.marks[of] = true
	}
	m.at = min(m.at+1, max(len(m.shown())-1, 0))
	return m
}

// printed are the jobs whose tickets are printed: those that are marked, or the chosen one.
func (m Model) printed() (uids []string) {
	for _, it := range m.items {
		if m.marks[it.Key] && it.UID != "" {
			uids = append(uids, it.UID)
		}
	}
	if item, some := m.chosen(); len(uids) == 0 && some && item.UID != "" {
		uids = append(uids, item.UID)
	}
	return uids
}

// print prints what goes with the rackets.
func (m Model) print() (Model, tea.Cmd) {
	s, uids := m.shop, m.printed()
	m.marks = nil
	return m.Say(screen.Notice{Text: "printing", Role: theme.Quiet}), func() tea.Msg {
		if err := s.Print(context.Background(), uids...); err != nil {
			return screen.Wrong(err.Error())
		}
		return screen.Said(fmt.Sprintf("printed: %d", len(uids)))
	}
}

// Help is what the screen is for, and all its keys.
func (m Model) Help() screen.Help {
	say := func(keys, what string) key.Binding {
		return key.NewBinding(key.WithKeys(keys), key.WithHelp(keys, what))
	}
	k := m.keys
	out := []key.Binding{say(m.Sign("↑ ↓", "up down"), "choose a racket"), say("27", "the racket of that number"), say("/", "find by letters: ab finds Ada, blue; esc shows all again"),
		say("tab", "only mine, only for today, only on one machine, all"), say("enter", "string it; what somebody else has is asked for first"),
		say("p", "park a racket in work, or take it up again"), say("e", "it was strung elsewhere, or is written down on paper; by arrow, on an earlier day"),
		say("t", "print what goes with it: before it is strung what is to be done, then the ticket"), say("x", "mark it, so that t prints several at once")}
	for _, d := range m.doors {
		out = append(out, say(d.Key, d.Help))
	}
	return screen.Help{Text: "The rackets that wait, in the order in which to string them, with when each will be ready.", Keys: append(out, k.Leave)}
}
