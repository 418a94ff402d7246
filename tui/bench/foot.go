package bench

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// foot is what just happened, or the keys.
func (m Model) foot(width int) []string {
	l := screen.Look{Theme: m.set.Theme, Width: width, Height: m.height, Notice: m.notice}
	switch {
	case m.write.failed != "":
		l.Notice = screen.Wrong(m.write.failed + " · space: seen")
	case m.write.slow && m.write.mending:
		l.Notice = screen.Notice{Text: "working out the way back…", Role: theme.Warn}
	case m.write.slow && m.write.leaving:
		l.Notice = screen.Notice{Text: "saving… then leaving", Role: theme.Warn}
	case m.write.slow:
		l.Notice = screen.Notice{Text: "saving…", Role: theme.Warn}
	}
	foot := l.Foot(m.enabled(l.Room())...)
	if l.Notice == m.notice && m.notice.Text != "" {
		foot[len(foot)-1] += m.keysBeside(l.Room() - lipgloss.Width(foot[len(foot)-1]))
	}
	if last := len(foot) - 1; m.far && m.mode != working && m.mode != helping && lipgloss.Width(foot[last]+farIsOn) <= l.Room() {
		foot[last] += m.style(theme.Quiet, farIsOn)
	}
	return foot
}

// keysBeside are the first of the keys, as many as there is room for beside what just happened.
func (m Model) keysBeside(room int) string {
	const apart = "   "
	keys := m.enabled(m.width - 2)
	for n := len(keys); n > 0; n-- {
		if text := m.help.ShortHelpView(keys[:n]); lipgloss.Width(apart+text) <= room {
			return apart + text
		}
	}
	return ""
}

// farIsOn is said where the far view waits for a question to be answered.
const farIsOn = "  far is on"

// allKeys is the page of all keys; it fits the smallest screen.
func (m Model) allKeys(width int) []string {
	k := m.keys
	lines := []string{m.style(theme.Title, "Keys") + m.style(theme.Quiet, fmt.Sprintf("   plan %s, %d pulls", m.job.Plan.Plan, m.job.Plan.Totals.Pulls))}
	for _, row := range []struct {
		key  key.Binding
		does string
	}{
		{k.Done, "this is done, show the next (enter, page down)"},
		{k.Back, "one step back, the journal keeps both (page up)"},
		{k.Slip, "gripper or clamp slipped: the way back"},
		{k.Wrong, "misweave, wrong hole, break, crack: the way back"},
		{k.Why, "why it slipped or went wrong, once it is put right"},
		{k.Earlier, "look at other steps, nothing changes"},
		{k.Note, "a note for the journal"},
		{k.Numbers, "lengths to cut, what the machine is set to, the bed"},
		{k.Turn, "turn the picture as the machine; " + k.Mirror.Help().Key + ": its other side"},
		{k.Far, "only what is read from afar, as large as it goes"},
		{k.Repeat, "say it again"},
		{k.Journal, "what happened at the bench, once the racket is strung"},
		{k.Park, "park it for another racket; it keeps its place"},
		{k.Leave, "leave; all is saved already"},
	} {
		switch row.key.Help() {
		case k.Repeat.Help():
			if m.set.Say == nil {
				continue
			}
		case k.Journal.Help():
			if !m.finished() {
				continue
			}
		case k.Slip.Help(), k.Wrong.Help(): // nothing can go wrong any more
			if m.finished() {
				continue
			}
		}
		lines = append(lines, fmt.Sprintf("%-6s %s", row.key.Help().Key, row.does))
	}
	return append(lines,
		m.style(theme.Quiet, "clamp on: jaws first, then base; off: base first, then jaws"),
		m.style(theme.Quiet, fmt.Sprintf("the same key within %.1f s is held down and counts once", m.set.Hold.Seconds())),
		m.style(theme.Quiet, "The makers' instructions, local rules and your own trained"),
		m.style(theme.Quiet, "judgement come first. Eye protection on."))
}
