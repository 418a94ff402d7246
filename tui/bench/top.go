package bench

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// top is the line that a script reads first: step and total, strand, holes, tension; then whose racket it is and how long it
// has been in work. Beside a picture as high as the screen it takes more than one line.
func (m Model) top(width int) []string {
	left := m.stands()
	name := strings.Trim(theme.Clean(m.job.Player)+" · "+theme.Clean(m.job.Racket), " ·")
	if name == "" {
		name = theme.Clean(m.state.Plan().Frame)
	}
	const few = 6
	clock := m.clock()
	right := func(room int) string {
		text := name
		if room -= lipgloss.Width(clock) + 2; lipgloss.Width(text) > room && m.job.Player != "" { // the player's name alone
			text = theme.Clean(m.job.Player)
		}
		if room < few { // of which nothing could be told
			text = ""
		}
		return m.style(theme.Quiet, ansi.Truncate(text, max(room, 0), "…")+"  ") + m.style(m.clockRole(), clock)
	}
	room := width - 2 - lipgloss.Width(left) - 2
	if width < m.width {
		short := strings.ReplaceAll(left, "  ", " ")
		lines := screen.Wrap(short, width-2)
		last := len(lines) - 1
		if room := width - 2 - lipgloss.Width(lines[last]) - 2; room > lipgloss.Width(clock)+6 { // what is left of the line is the name's
			end := right(room)
			lines[last] += strings.Repeat(" ", room+2-lipgloss.Width(end)) + end
			return lines
		}
		return append(lines, right(width-2))
	}
	if room < lipgloss.Width(clock)+2 {
		return []string{ansi.Truncate(left, width-2, "…")}
	}
	end := right(room)
	return []string{left + strings.Repeat(" ", width-2-lipgloss.Width(left)-lipgloss.Width(end)) + end}
}

// stands is the step and its total, and what is in hand.
func (m Model) stands() string {
	f := &m.scene.face
	switch {
	case m.mode == resuming, m.mode == choosing && m.waits() == resuming:
		return m.style(theme.Title, "TAKE UP AGAIN")
	case m.finished():
		return m.style(theme.OK, fmt.Sprintf("%d/%d  %s", m.state.Current(), m.state.Steps(), strings.ToUpper(m.state.Status().Says())))
	}
	left := m.style(theme.Title, fmt.Sprintf("%d/%d", m.shown(), m.state.Steps()))
	if !f.led {
		return left + "  " + strings.ToUpper(string(m.step().Phase))
	}
	strand := f.strand
	if n := len(f.lead.Strands); n > 3 {
		strand = fmt.Sprintf("%s, %s … %d strands", f.lead.Strands[0], f.lead.Strands[1], n)
	}
	left += "  " + m.style(theme.Current, strand)
	arrow := "–"
	if f.moves {
		arrow = "→"
	}
	if len(f.lead.Strands) == 0 && f.to != "" {
		left += fmt.Sprintf("  %s %s %s", f.from, arrow, f.to)
	}
	if f.tension != "" {
		left += "  " + f.tension
	}
	left += "  " + m.style(theme.Title, f.verb)
	if f.lead.Clamp != "" {
		left += m.style(theme.Title, " "+string(f.lead.Clamp))
	}
	return left
}

// clock is how long the mains have been in while crosses are missing, which is what must not be long; otherwise how long the
// job has been in work.
func (m Model) clock() string {
	if d := m.mainsFor(); d >= 0 {
		return "mains " + minutes(d)
	}
	return m.elapsed()
}

func (m Model) clockRole() theme.Role {
	switch d := m.mainsFor(); {
	case d >= bareAlarm:
		return theme.Danger
	case d >= bareNotice:
		return theme.Warn
	}
	return theme.Quiet
}

// elapsed is the time since the job was begun, in minutes.
func (m Model) elapsed() string {
	if m.began.IsZero() {
		return "0 min"
	}
	return minutes(m.gone(m.began))
}

func minutes(d time.Duration) string {
	n := int(d.Minutes())
	if n >= 120 {
		return fmt.Sprintf("%d h %02d", n/60, n%60)
	}
	return fmt.Sprintf("%d min", n)
}
