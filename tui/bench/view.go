package bench

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

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
	racket  *plan.Racket // as it is now
	wrong   string       // what went wrong, while the way back from it is in hand
	slips   bool         // something holds that can slip
	// slackUntil says until when what slipped stays slack, "slack until step 47".
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
	m.scene.slackUntil = "slack"
	if slack := m.slack(); len(slack) > 0 {
		if n := p.SlackUntil(done, slack); n > 0 {
			m.scene.slackUntil = fmt.Sprintf("slack until step %d", n)
		}
	}
	w, h := m.pictureSize(m.width, m.height-2)
	m.scene.draw = m.scene.draw.Fitted(w, h, m.view, old)
	m.scene.slips = m.state.Status() == progress.Open && cases.Of(p, m.scene.racket, m.state.Last()).Holds()
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
	alarm := m.alarm(width - 2)
	head := append(m.top(width), alarm...)
	rows := max(height-1-len(head), 0)
	body, foot := strings.Split(m.body(width, rows), "\n"), m.foot(width)
	foot = foot[max(len(foot)-rows, 0):]   // its end says what would help
	body = body[:max(rows+1-len(foot), 0)] // what went wrong is told in whole, over the end of the rest
	return slices.Concat(strings.Split(screen.Fit(head, width, len(head), false), "\n"), body, strings.Split(screen.Fit(foot, width, len(foot), false), "\n"))
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
		word := map[progress.Status]string{progress.Finished: "FINISHED", progress.Abandoned: "CLOSED"}[m.state.Status()]
		return m.style(theme.OK, fmt.Sprintf("%d/%d  %s", m.state.Current(), m.state.Steps(), word))
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
	end := m.now
	if m.state.Status() != progress.Open {
		end = m.events[len(m.events)-1].At
	}
	return minutes(end.Sub(m.began))
}

func minutes(d time.Duration) string {
	n := int(d.Minutes())
	if n >= 120 {
		return fmt.Sprintf("%d h %02d", n/60, n%60)
	}
	return fmt.Sprintf("%d min", max(n, 0))
}

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
