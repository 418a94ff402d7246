package bench

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/plan"
	"pullcard/sequence/run"
	"pullcard/tui/draw"
	"pullcard/tui/theme"
)

// card is what to do: figures to read from the machine, then the clamps, the cautions, what comes next.
func (m Model) card(width, height int) []string {
	switch m.mode {
	case resuming:
		return m.resumeCard(width)
	case slipping:
		return m.slipCard()
	case troubled:
		return m.troubleCard(height)
	case asking, noting:
		return m.writeCard()
	}
	if m.finished() {
		return m.finishedCard(width)
	}
	head, tail := m.banner(), m.tail(width)
	mid := append(m.clamps(width), m.words(width)...)
	left := height - len(head) - len(mid) - len(tail)
	if m.again() {
		left -= len(m.do(width)) // what to do again is read word by word
	}
	figures := m.figures(width, left)
	lines := append(append(head, figures...), mid...)
	do, room := m.do(width), height-len(lines)-len(tail)
	switch {
	case m.scene.face.strand == "" || m.again():
		lines = append(lines, do[:min(len(do), max(room, 0))]...)
	case len(do) < room:
		lines = append(append(lines, ""), do...)
	}
	for len(lines)+len(tail) < height {
		lines = append(lines, "")
	}
	return append(lines, tail...)
}

// banner says that the step on the screen is not simply the next one.
func (m Model) banner() []string {
	switch {
	case m.look > 0:
		return []string{m.style(theme.Warn, fmt.Sprintf("LOOKING, the work stands at step %d: space goes back there", m.state.Current()))}
	case m.again():
		return []string{m.style(theme.Danger, fmt.Sprintf("AGAIN (%d): grip a fresh stretch of string", m.state.Redos(m.state.Current())))}
	}
	return nil
}

// figures are strand, holes and tension, as large as they fit.
func (m Model) figures(width, room int) []string {
	f := m.scene.face
	if f.strand == "" {
		return []string{"", m.style(theme.Current, strings.ToUpper(f.title)), ""}
	}
	for _, rows := range []int{6, 5, 3} {
		for _, quiet := range []bool{false, true} {
			bands := m.bands(width, rows, quiet)
			for _, apart := range []bool{true, false} {
				if lines := stack(bands, apart); bands != nil && len(lines) <= room {
					return lines
				}
			}
		}
	}
	return []string{m.style(theme.Current, f.strand), m.style(theme.Current, f.from+" → "+f.to), m.style(theme.Current, f.tension), ""}
}

// bands are the figures in so many rows each, or nil where one is too wide. With quiet the hole where the string comes
// in is only small.
func (m Model) bands(width, rows int, quiet bool) [][]string {
	f := m.scene.face
	holes := [][][]string{{m.bothHoles(rows)}, m.stackedHoles(rows)}
	if quiet {
		holes = [][][]string{{m.exitHole(rows)}}
	}
	strand := fitting(width, [][]string{m.big(f.strand, rows, theme.Current)})
	place, third := fitting(width, holes...), fitting(width, m.third(rows)...)
	if strand == nil || place == nil || third == nil {
		return nil
	}
	return slices.Concat(strand, place, third)
}

// stack puts bands of lines one below the other, with a blank line after each or only after the last.
func stack(bands [][]string, apart bool) []string {
	var out []string
	for i, band := range bands {
		out = append(out, band...)
		if apart || i == len(bands)-1 {
			out = append(out, "")
		}
	}
	return out
}

// fitting is the first of some groups of bands none of which is wider than the room.
func fitting(width int, groups ...[][]string) [][]string {
	for _, bands := range groups {
		wide := func(line string) bool { return lipgloss.Width(line) > width }
		if !slices.ContainsFunc(bands, func(band []string) bool { return slices.ContainsFunc(band, wide) }) {
			return bands
		}
	}
	return nil
}

// bothHoles sets the hole where the string comes in, quietly, and the one where it is pulled, side by side.
func (m Model) bothHoles(rows int) []string {
	f := m.scene.face
	return beside(beside(m.big(f.from, rows, theme.Quiet), m.arrow(rows)), m.big(f.to, rows, theme.Current))
}

// stackedHoles sets the two holes one below the other.
func (m Model) stackedHoles(rows int) [][]string {
	f := m.scene.face
	in := beside(m.blank(rows), m.big(f.from, rows, theme.Quiet))
	return [][]string{in, beside(m.arrow(rows), m.big(f.to, rows, theme.Current))}
}

// exitHole sets only the hole where the string is pulled.
func (m Model) exitHole(rows int) []string {
	f := m.scene.face
	from := make([]string, rows)
	for i := range from {
		from[i] = strings.Repeat(" ", len(f.from))
	}
	from[rows/2] = m.style(theme.Quiet, f.from)
	return beside(beside(from, m.arrow(rows)), m.big(f.to, rows, theme.Current))
}

func (m Model) blank(rows int) []string {
	out := make([]string, rows)
	for i := range out {
		out[i] = "   "
	}
	return out
}

func (m Model) arrow(rows int) []string {
	out := m.blank(rows)
	out[rows/2] = m.style(theme.Current, "━━▶")
	if m.set.ASCII {
		out[rows/2] = m.style(theme.Current, "-->")
	}
	return out
}

// third is the tension, or what stands in its place, with its unit large or, where that is too wide, small.
func (m Model) third(rows int) [][][]string {
	f := m.scene.face
	role, text := theme.Current, f.big
	if text == "" {
		text = f.tension
	}
	if f.boost != "" {
		role = theme.Boost
	}
	small := m.besideTension(rows)
	number, unit, _ := strings.Cut(text, " ")
	short := slices.Clone(small)
	short[0] = m.style(role, unit) + short[0]
	return [][][]string{{beside(m.big(text, rows, role), small)}, {beside(m.big(number, rows, role), short)}}
}

func (m Model) besideTension(rows int) []string {
	f := m.scene.face
	out := make([]string, rows)
	switch {
	case f.boost != "":
		out[rows-2] = m.style(theme.Boost, "▲ BOOST")
		out[rows-1] = m.style(theme.Boost, "  "+f.boost)
	case f.big == "TIE":
		out[rows-1] = m.style(theme.Text, "on "+m.anchor())
	case f.big != "":
		first, mains, _ := strings.Cut(f.weave, ", ")
		out[rows-2] = m.style(theme.Text, strings.TrimPrefix(first, strings.ToLower(f.big)+" "))
		out[rows-1] = m.style(theme.Text, mains)
	}
	return out
}

func (m Model) anchor() string {
	for _, o := range m.step().Ops {
		if o.Op == plan.Tie {
			return string(o.Anchor)
		}
	}
	return ""
}

func (m Model) big(text string, rows int, role theme.Role) []string {
	lines := draw.Big(text, rows, m.set.ASCII)
	for i := range lines {
		lines[i] = m.style(role, lines[i])
	}
	return lines
}

// beside sets two blocks of lines side by side.
func beside(a, b []string) []string {
	out := make([]string, len(a))
	for i := range a {
		out[i] = a[i] + " " + b[i]
	}
	return out
}

// clamps shows for each clamp where it stands before and after the step.
func (m Model) clamps(width int) []string {
	var out []string
	for _, v := range m.scene.face.moves {
		role := map[plan.Clamp]theme.Role{plan.A: theme.ClampA, plan.B: theme.ClampB, plan.S: theme.ClampS}[v.clamp]
		name := m.style(role, "["+string(v.clamp)+"]")
		text := ""
		switch {
		case !v.moved() && v.before == nil:
			text = m.style(theme.Quiet, "free")
		case !v.moved():
			text = m.style(theme.Quiet, "stays ") + place(v.before)
		case v.before == nil:
			text = m.style(role, "SET ") + place(v.after)
		case v.after == nil:
			text = m.style(role, "OFF ") + m.style(theme.Quiet, "from "+place(v.before))
		default:
			text = m.style(role, "MOVE ") + m.style(theme.Quiet, place(v.before)) + " → " + place(v.after)
		}
		out = append(out, ansi.Truncate(name+" "+text, width, "…"))
	}
	return out
}

func place(g *plan.Grip) string {
	text := string(g.Strand) + " at " + string(g.Hole)
	if g.Outside {
		text += ", outside"
	}
	return text
}

// words are over and under, then the cautions of the step.
func (m Model) words(width int) []string {
	f := m.scene.face
	var out []string
	if f.weave != "" {
		out = append(out, m.style(theme.Text, f.weave))
	}
	if m.step().Phase == plan.PhaseMount {
		out = append(out, m.caution(theme.Danger, m.job.Warnings, width)...)
	}
	return append(out, m.caution(theme.Warn, f.cautions, width)...)
}

func (m Model) caution(r theme.Role, texts []string, width int) []string {
	var out []string
	for _, text := range texts {
		for _, line := range strings.Split(ansi.Wordwrap(theme.Clean("! "+text), width, ""), "\n") {
			out = append(out, m.style(r, line))
		}
	}
	return out
}

// do lists what hands do, in order.
func (m Model) do(width int) []string {
	var out []string
	for _, text := range m.scene.face.do {
		for i, line := range strings.Split(ansi.Wordwrap(theme.Clean(text), width-2, ""), "\n") {
			mark := "· "
			if i > 0 {
				mark = "  "
			}
			out = append(out, m.style(theme.Quiet, mark)+line)
		}
	}
	return out
}

// tail is what comes next, what will be covered, what is deferred, and how far the phases are.
func (m Model) tail(width int) []string {
	next := "next "
	if m.again() {
		next = "then "
	}
	out := []string{m.style(theme.Quiet, next) + ansi.Truncate(m.scene.next, width-5, "…")}
	if holes := m.scene.soon; len(holes) > 0 {
		out = append(out, m.style(theme.Warn, ansi.Truncate("◇ the next run covers "+plan.Holes(holes)+": leave a scrap in", width, "…")))
	}
	for _, d := range m.scene.deferred {
		out = append(out, m.style(theme.Deferred, ansi.Truncate("… deferred: "+d.String(), width, "…")))
	}
	for _, line := range m.bare() {
		out = append(out, ansi.Truncate(line, width, "…"))
	}
	return append(out, m.phases(width))
}

// phases is a bar for each phase, filled as far as its steps are done.
func (m Model) phases(width int) string {
	filled, empty := "━", "─"
	if m.set.ASCII {
		filled, empty = "#", "-"
	}
	names := 0
	for _, ph := range plan.Phases() {
		names += len(ph) + 2
	}
	cells := max((width-names+1)/len(plan.Phases()), 1)
	var out []string
	for _, ph := range plan.Phases() {
		all, done := m.progress(ph)
		full := 0
		if all > 0 {
			full = cells * done / all
		}
		role := theme.Quiet
		if m.step().Phase == ph {
			role = theme.Title
		}
		out = append(out, m.style(role, string(ph))+" "+m.style(theme.OK, strings.Repeat(filled, full))+m.style(theme.Quiet, strings.Repeat(empty, cells-full)))
	}
	return strings.Join(out, " ")
}

// progress counts the steps of a phase, and those that are done.
func (m Model) progress(ph plan.Phase) (all, done int) {
	for i := range m.state.Plan().Steps {
		if s := &m.state.Plan().Steps[i]; s.Phase == ph {
			all++
			if s.N <= m.state.Last() {
				done++
			}
		}
	}
	return all, done
}

// resumeCard asks whether things stand as they were left. It shows no count of steps, so that nobody takes the
// question for a step.
func (m Model) resumeCard(width int) []string {
	out := []string{"", m.style(theme.Title, "This racket was left at "+m.job.Events[len(m.job.Events)-1].At.Local().Format("15:04 on 2 January 2006")), ""}
	if last := m.state.Last(); last > 0 {
		s := &m.state.Plan().Steps[last-1]
		out = append(out, "The last thing done: "+m.style(theme.Current, s.Title))
		if o := s.Pull(); o != nil {
			out = append(out, "  "+o.Words())
		}
	} else {
		out = append(out, "Nothing was done yet.")
	}
	out = append(out, "", "The clamps should stand so:")
	for _, line := range stands(run.Where(m.state)) {
		out = append(out, "  "+m.style(theme.Current, line))
	}
	out = append(out, "", m.style(theme.Warn, "Trust the clamps, never the gripper."),
		"Was that last pull in its clamp, and does all stand so?", "",
		m.style(theme.OK, "  enter  yes, go on"), m.style(theme.Danger, "  r      no, pull it again"))
	return wrapAll(out, width)
}

func wrapAll(lines []string, width int) []string {
	var out []string
	for _, l := range lines {
		out = append(out, strings.Split(ansi.Wordwrap(l, width, ""), "\n")...)
	}
	return out
}

func (m Model) slipCard() []string {
	out := []string{"", m.style(theme.Title, "What slipped?"), ""}
	for i, s := range m.slips {
		mark, role := "  ", theme.Text
		if i == m.choice {
			mark, role = "▶ ", theme.Current
		}
		out = append(out, m.style(role, fmt.Sprintf("%s%d  %s", mark, i+1, slipWords(s))))
	}
	return append(out, "", m.style(theme.Quiet, "number, or ↑ ↓ and enter"))
}

func (m Model) writeCard() []string {
	title := "Note"
	if m.mode == asking {
		title = "Why? " + slipWords(m.slips[m.choice])
	}
	return []string{"", m.style(theme.Title, title), "", m.input.View()}
}

func (m Model) finishedCard(width int) []string {
	p := m.state.Plan()
	redone := 0
	for n := 1; n <= m.state.Steps(); n++ {
		redone += m.state.Redos(n)
	}
	if m.state.Status() == run.Abandoned {
		why := "This job is closed."
		if p.Cracked() {
			why = "The frame is cracked; this job is closed."
		}
		return wrapAll([]string{"", m.style(theme.Danger, why), "", "Everything that was done is in the book.", "", m.phases(width)}, width)
	}
	return wrapAll([]string{"", m.style(theme.OK, "This racket is strung."), "",
		theme.Clean(p.Frame) + " · " + theme.Clean(p.Technique),
		fmt.Sprintf("mains %s, crosses %s", p.Terms.PullMains.Ordered, p.Terms.PullCrosses.Ordered),
		fmt.Sprintf("%d pulls, %d knots, %d done again", p.Totals.Pulls, p.Totals.Knots, redone),
		"plan " + p.Plan, "in " + m.elapsed(), "",
		"Tell the player: the tension ordered, what differed, and that the bed softens most on the first day.", "",
		m.phases(width)}, width)
}
