package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/cases"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// The smallest terminal that the bench works in, in columns and rows.
const (
	MinWidth  = 60
	MinHeight = 20
)

// scene is what of the screen is worked out once for each change and not for each painting.
type scene struct {
	draw   draw.Scene
	face   face
	next   string
	soon   []plan.Hole
	racket *plan.Racket // as it is now
	wrong  string       // what went wrong, while the way back from it is in hand
	slips  bool         // something holds that can slip
}

func (m *Model) refresh() {
	p, n := m.state.Plan(), m.shown()
	done := m.state.Last()
	if m.look > 0 {
		done = n - 1
	}
	old := m.scene.draw
	now := p.After(done)
	m.scene = scene{draw: draw.Of(p, now, done, n), racket: now, wrong: wentWrong(p, m.state.Last())}
	after := now.Clone()
	after.Step(&p.Steps[n-1])
	later := after.Clone()
	if n < len(p.Steps) {
		m.scene.soon = later.Step(&p.Steps[n])
	}
	m.scene.face = faceOf(p, n, m.opsOf(n), now, after)
	m.scene.next = nextWords(p, n, after, later)
	if m.look > 0 {
		m.scene.racket = m.state.Racket()
	}
	if m.finished() {
		m.scene.draw = draw.Of(p, now, done, 0)
	}
	w, h := m.pictureSize(m.width, m.height-2)
	m.scene.draw = m.scene.draw.Fitted(w, h, m.view, old)
	m.scene.slips = m.state.Status() == progress.Open && cases.Of(p, m.scene.racket, m.state.Last()).Holds()
}

// wentWrong is what the newest of the done steps that says so says went wrong.
func wentWrong(p *plan.Plan, done int) string {
	for n := done; n > 0; n-- {
		if s := &p.Steps[n-1]; s.Record {
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
		return m.set.Theme.Paint(m.fit([]string{fmt.Sprintf("%d×%d is too small", m.width, m.height), fmt.Sprintf("at least %d×%d", MinWidth, MinHeight)}, m.width, m.height))
	}
	alarm := m.alarm(m.width - 2)
	rows := m.height - 2 - len(alarm)
	body, foot := strings.Split(m.body(m.width, rows), "\n"), m.foot()
	foot = foot[max(len(foot)-rows, 0):]   // its end says what would help
	body = body[:max(rows+1-len(foot), 0)] // what went wrong is told in whole, over the end of the rest
	return m.set.Theme.Paint(m.fit(append([]string{m.top()}, alarm...), m.width, 1+len(alarm)) + "\n" + strings.Join(body, "\n") + "\n" + m.fit(foot, m.width, len(foot)))
}

// alarm says that the book went away and where the work is kept: all of it at first, then what a line holds.
func (m Model) alarm(width int) (lines []string) {
	if m.elsewhere == "" {
		return nil
	}
	text := theme.Clean("! " + m.elsewhere)
	if m.briefly {
		where, _, _ := strings.Cut(text, ": ")
		if over := lipgloss.Width(where) - width; over > 0 { // the file's own name is at the end
			half := width / 2
			where = ansi.Truncate(where, half, "") + "…" + ansi.TruncateLeft(where, half+over+1, "")
		}
		return []string{m.style(theme.Danger, where)}
	}
	for _, line := range strings.Split(ansi.Wrap(text, width, ""), "\n") {
		lines = append(lines, m.style(theme.Danger, line))
	}
	return lines
}

// body is the picture beside the card, or the card alone where the picture does not fit.
func (m Model) body(width, height int) string {
	if m.mode == helping {
		return m.fit(m.allKeys(), width, height)
	}
	if m.far && m.mode == working && !m.finished() && m.scene.face.strand != "" {
		return m.fit(m.farCard(width-2, height), width, height)
	}
	pw, ph := m.pictureSize(width, height)
	if pw == 0 {
		return m.fit(m.card(width-2, height), width, height)
	}
	picture := strings.Split(m.scene.draw.Render(pw, ph, m.view, m.ink), "\n")
	for len(picture) < height {
		picture = append(picture, strings.Repeat(" ", pw))
	}
	card := strings.Split(m.fit(m.card(width-pw-2, height), width-pw, height), "\n")
	for i := range picture {
		picture[i] += card[i]
	}
	return strings.Join(picture, "\n")
}

// fit makes lines exactly as wide and as many as they should be; a line is indented by a space.
func (m Model) fit(lines []string, width, height int) string {
	out := make([]string, height)
	for i := range out {
		line := ""
		if i < len(lines) {
			line = " " + lines[i]
		}
		line = ansi.Truncate(line, width, "…")
		if gap := width - lipgloss.Width(line); gap > 0 {
			line += strings.Repeat(" ", gap)
		}
		out[i] = line
	}
	return strings.Join(out, "\n")
}

// style gives a piece of a line the looks of a role.
func (m Model) style(r theme.Role, text string) string { return m.paint[r][0] + text + m.paint[r][1] }

// top is the line that a script reads first: step and total, strand, holes, tension; then whose racket it is.
func (m Model) top() string {
	f := m.scene.face
	left := ""
	switch {
	case m.mode == resuming:
		left = m.style(theme.Title, "TAKE UP AGAIN")
	case m.finished():
		word := map[progress.Status]string{progress.Finished: "FINISHED", progress.Abandoned: "CLOSED"}[m.state.Status()]
		left = m.style(theme.OK, fmt.Sprintf("%d/%d  %s", m.state.Current(), m.state.Steps(), word))
	default:
		left = m.style(theme.Title, fmt.Sprintf("%d/%d", m.shown(), m.state.Steps()))
		if f.strand != "" {
			left += "  " + m.style(theme.Current, f.strand) + fmt.Sprintf("  %s → %s  %s  ", f.from, f.to, f.tension) + m.style(theme.Title, f.verb)
		} else {
			left += "  " + strings.ToUpper(string(m.step().Phase))
		}
	}
	name := strings.Trim(theme.Clean(m.job.Player)+" · "+theme.Clean(m.job.Racket), " ·")
	if name == "" {
		name = theme.Clean(m.state.Plan().Frame)
	}
	fixed := "  plan " + m.job.Plan.Plan[:min(8, len(m.job.Plan.Plan))] + "  " + m.elapsed()
	room := max(m.width-2-lipgloss.Width(left)-2, 0)
	if room < lipgloss.Width(fixed)+4 { // the time goes before the plan
		fixed = "  " + m.elapsed()
	}
	right := ansi.Truncate(name, max(room-lipgloss.Width(fixed), 0), "…") + fixed
	right = ansi.Truncate(right, room, "…")
	return left + strings.Repeat(" ", room-lipgloss.Width(right)+2) + m.style(theme.Quiet, right)
}

// elapsed is the time since the job was begun, in minutes.
func (m Model) elapsed() string {
	if m.began.IsZero() {
		return "0 min"
	}
	end := m.now
	if m.state.Status() != progress.Open {
		end = m.events[len(m.events)-1].At
	}
	minutes := int(end.Sub(m.began).Minutes())
	if minutes >= 120 {
		return fmt.Sprintf("%d h %02d", minutes/60, minutes%60)
	}
	return fmt.Sprintf("%d min", max(minutes, 0))
}

// foot is what just happened, or the keys.
func (m Model) foot() []string {
	switch {
	case m.write.failed != "":
		lines := strings.Split(ansi.Wrap(theme.Clean(m.write.failed)+" · space: seen", m.width-2, ""), "\n")
		for i := range lines {
			lines[i] = m.style(theme.Danger, lines[i])
		}
		return lines
	case m.write.slow && m.write.mending:
		return []string{m.style(theme.Warn, "working out the way back…")}
	case m.write.slow && m.write.leaving:
		return []string{m.style(theme.Warn, "saving… then leaving")}
	case m.write.slow:
		return []string{m.style(theme.Warn, "saving…")}
	}
	if m.notice.text != "" {
		return []string{m.style(m.notice.role, theme.Clean(m.notice.text))}
	}
	return []string{m.help.ShortHelpView(m.enabled())}
}

// allKeys is the page of all keys; it fits the smallest screen.
func (m Model) allKeys() []string {
	k := m.keys
	lines := []string{m.style(theme.Title, "Keys"), ""}
	for _, row := range []struct {
		key  key.Binding
		does string
	}{
		{k.Done, "this step is done, show the next (enter, page down)"},
		{k.Back, "one step back, the journal keeps both (page up)"},
		{k.Slip, "gripper or clamp slipped: the way back"},
		{k.Wrong, "misweave, wrong hole, break, crack: the way back"},
		{k.Earlier, "look at other steps, nothing changes"},
		{k.Note, "a note for the journal"},
		{k.Numbers, "lengths to cut, tensions, stiffness of the bed"},
		{k.Turn, "turn the picture as the frame lies on the machine"},
		{k.Far, "only what is read from afar, as large as it goes"},
		{k.Park, "park it for another racket; it keeps its place"},
		{k.Leave, "leave; all is saved already"},
	} {
		lines = append(lines, fmt.Sprintf("%-6s %s", row.key.Help().Key, row.does))
	}
	return append(lines, "",
		m.style(theme.Quiet, fmt.Sprintf("the same key within %.1f s is held down and counts once", m.set.Hold.Seconds())), "",
		m.style(theme.Quiet, "The makers' instructions, local rules and your own trained"),
		m.style(theme.Quiet, "judgement come first. Eye protection on."))
}
