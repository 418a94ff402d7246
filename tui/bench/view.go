package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/act"
	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/draw"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// The smallest terminal that the bench works in, in columns and rows.
const (
	MinWidth  = 60
	MinHeight = 20
)

// scene is what of the screen is worked out once for each change and not for each painting.
type scene struct {
	draw draw.Scene
	face face
	next string
	// briefly is next where room is short.
	briefly string
	soon    []plan.Hole
	racket  *plan.Racket   // as it is now
	pressed cases.Question // what hands are to find in the step in hand; without answers where it is nothing
	wrong   string         // what went wrong, while the way back from it is in hand
	slips   bool           // something holds that can slip
	// slack is what was tight before the step on the screen and is slack, slackUntil until when, "slack until step 47".
	slack      []plan.Strand
	slackUntil string
}

func (m *Model) refresh() {
	p, n := m.state.Plan(), m.shown()
	done := m.state.Last()
	if m.look > 0 {
		done = n - 1
	}
	old := m.scene.draw
	now := p.After(done)
	acts := m.actsOf(n, now)
	m.scene = scene{draw: draw.Of(p, now, done, n), racket: now, wrong: wentWrong(p, m.state.Last())}
	after := now.Clone()
	after.Step(&p.Steps[n-1])
	later := after.Clone()
	if n < len(p.Steps) {
		m.scene.soon = later.Step(&p.Steps[n])
	}
	m.scene.face = faceOf(p, n, acts, after, m.table, m.view.Mirror)
	m.scene.next, m.scene.briefly = nextWords(p, n, after, later, m.table, false, m.view.Mirror), nextWords(p, n, after, later, m.table, true, m.view.Mirror)

	if m.look > 0 {
		m.scene.racket = m.state.Racket()
	}
	if m.finished() || m.mode == resuming || m.mode == choosing && m.waits() == resuming { // nothing is in hand
		m.scene.draw = draw.Of(p, now, done, 0)
	}
	m.scene.slack, m.scene.slackUntil = now.Loose(), "slack"
	if len(m.scene.slack) > 0 {
		if n := p.SlackUntil(done, m.scene.slack); n > 0 {
			m.scene.slackUntil = fmt.Sprintf("slack until step %d", n)
		}
	}
	if m.state.Status() == progress.Open {
		at := cases.Of(p, m.scene.racket, m.state.Last())
		m.scene.slips = at.Holds()
		if !m.again() && (m.look > 0 || slices.ContainsFunc(acts, func(a act.Act) bool { return a.Asks })) {
			m.scene.pressed = at.Pressed()
		}
	}
	w, h := m.pictureSize(m.width, m.height-2)
	m.scene.draw = m.scene.draw.Fitted(w, h, m.view, old)
}

// wentWrong is what the newest of the done steps that says so says went wrong.
func wentWrong(p *plan.Plan, done int) string {
	for n := done; n > 0; n-- {
		if s := &p.Steps[n-1]; s.Record && s.Mishap().Fault != plan.FaultPause {
			return s.Title
		}
	}
	return ""
}

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	if m.Small() {
		return screen.Look{Theme: m.set.Theme, Width: m.width, Height: m.height}.TooSmall(MinWidth, MinHeight)
	}
	lines := m.mirrored()
	height := m.height - len(lines)
	if pw := m.tallPicture(height); pw > 0 {
		lines = append(lines, beside(strings.Split(m.scene.draw.Render(pw, height, m.view, m.ink), "\n"), m.column(m.width-pw, height))...)
	} else {
		lines = append(lines, m.column(m.width, height)...)
	}
	return m.set.Theme.Paint(strings.Join(lines, "\n"))
}

// beside sets lines beside each other.
func beside(left, right []string) []string {
	out := make([]string, len(left))
	for i := range left {
		out[i] = left[i] + right[i]
	}
	return out
}

// mirrored says across the whole width that the picture shows the other side, as long as it does.
func (m Model) mirrored() []string {
	if !m.view.Mirror || m.mode == helping {
		return nil
	}
	text := ansi.Truncate(" OTHER SIDE: L is on the right, over and under as seen from there; m: back", m.width, "")
	return []string{m.style(theme.Danger, text+strings.Repeat(" ", m.width-lipgloss.Width(text)))}
}

// column is a part of the screen of that width, as high as the terminal: the top line, the body, the foot.
func (m Model) column(width, height int) []string {
	alarm := m.alarmed(width - 2)
	head := append(m.top(width), alarm...)
	rows := max(height-1-len(head), 0)
	body, foot := strings.Split(m.body(width, rows), "\n"), m.foot(width)
	foot = foot[max(len(foot)-rows, 0):]   // its end says what would help
	body = body[:max(rows+1-len(foot), 0)] // what went wrong is told in whole, over the end of the rest
	return slices.Concat(strings.Split(screen.Fit(head, width, len(head), false), "\n"), body, strings.Split(screen.Fit(foot, width, len(foot), false), "\n"))
}

// alarmed is what had to be known at once: all of it at first, then what a line holds.
func (m Model) alarmed(width int) (lines []string) {
	if m.alarm == "" {
		return nil
	}
	text := theme.Clean("! " + m.alarm)
	if m.briefly {
		where, _, _ := strings.Cut(text, ": ")
		if over := lipgloss.Width(where) - width; over > 0 { // the file's own name is at the end
			half := width / 2
			where = ansi.Truncate(where, half, "") + "…" + ansi.TruncateLeft(where, half+over+1, "")
		}
		return []string{m.style(theme.Danger, where)}
	}
	for _, line := range screen.Wrap(text, width) {
		lines = append(lines, m.style(theme.Danger, line))
	}
	return lines
}

// body is the picture beside the card, or the card alone where the picture stands elsewhere or nowhere.
func (m Model) body(width, height int) string {
	if m.mode == helping {
		return screen.Fit(m.allKeys(width), width, height, false)
	}
	if m.isFar() {
		lines := m.farAsked(width-2, height)
		if m.mode == working && !m.finished() {
			lines = m.farCard(width-2, height)
		}
		if lines == nil {
			lines = m.card(width-2, height)
		}
		return screen.Fit(lines, width, height, false)
	}
	pw, ph := m.pictureSize(width, height)
	if pw == 0 || width < m.width {
		return screen.Fit(m.card(width-2, height), width, height, false)
	}
	picture := strings.Split(m.scene.draw.Render(pw, ph, m.view, m.ink), "\n")
	for len(picture) < height {
		picture = append(picture, strings.Repeat(" ", pw))
	}
	return strings.Join(beside(picture, strings.Split(screen.Fit(m.card(width-pw-2, height), width-pw, height, false), "\n")), "\n")
}

// isFar says whether the screen shows only what is read from afar.
func (m Model) isFar() bool {
	return m.far && (m.mode == working || m.mode == choosing || m.mode == resuming)
}

// style gives a piece of a line the looks of a role.
func (m Model) style(r theme.Role, text string) string { return m.paint[r][0] + text + m.paint[r][1] }
