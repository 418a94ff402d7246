package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// card is what to do: figures to read from the machine, then the clamps, the cautions, what comes next.
func (m Model) card(width, height int) []string {
	switch m.mode {
	case resuming:
		return m.resumeCard(width)
	case choosing:
		return m.questionCard(width, height)
	case asking, deciding, noting:
		return m.writeCard(width)
	}
	if m.finished() {
		return m.finishedCard(width)
	}
	head, tail := m.banner(width), m.tail(width)
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
func (m Model) banner(width int) []string {
	if m.notice.role == theme.Danger && m.notice.text != "" {
		return m.caution(theme.Danger, []string{m.notice.text}, width) // the foot is too short for what to do about it
	}
	switch {
	case m.look > 0:
		return []string{m.style(theme.Warn, fmt.Sprintf("ONLY LOOKING; space: back to step %d", m.state.Current()))}
	case m.again():
		return []string{m.style(theme.Danger, fmt.Sprintf("AGAIN (%d)%s", m.state.Redos(m.state.Current()), m.fresh()))}
	case curing(m.state):
		lines := []string{m.style(theme.Danger, "WAY BACK: ") + m.style(theme.Text, m.scene.wrong)}
		if slack := m.slack(); len(slack) > 0 {
			lines = append(lines, m.caution(theme.Danger, []string{"slack until then: " + plan.Names(slack)}, width)...)
		}
		return wrapAll(lines, width)
	}
	return nil
}

// fresh says how a pull is done again: not where the gripper has marked the string already.
func (m Model) fresh() string {
	if m.step().Pull() == nil {
		return ""
	}
	return ": grip a fresh stretch of string"
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
			text = m.style(role, "SET ") + place(v.after) + m.behind(v)
		case v.after == nil:
			text = m.style(role, "OFF ") + m.style(theme.Quiet, "from "+place(v.before))
		default:
			text = m.style(role, "MOVE ") + m.style(theme.Quiet, place(v.before)) + " → " + place(v.after)
		}
		out = append(out, ansi.Truncate(name+" "+text, width, "…"))
	}
	return out
}

// behind says of a clamp that is set where another one is set that it stands on the slack side of that.
func (m Model) behind(v move) string {
	for _, o := range m.scene.face.moves {
		if v.clamp == plan.S && o.clamp != plan.S && o.after != nil && *o.after == *v.after {
			return ", behind " + string(o.clamp) + " on the slack side"
		}
	}
	return ""
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
	for _, piece := range m.state.Plan().NewPieces(m.shown()) {
		if cut := m.job.Cuts[piece]; cut != "" {
			out = append(out, m.caution(theme.OK, []string{"cut " + cut}, width)...)
		}
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
	out := append(m.lesson(width), m.style(theme.Quiet, next)+ansi.Truncate(m.scene.next, width-5, "…"))
	if holes := m.scene.soon; len(holes) > 0 {
		for _, line := range strings.Split(ansi.Wordwrap("◇ the next run covers "+plan.Holes(holes)+": leave a scrap in", width, ""), "\n") {
			out = append(out, m.style(theme.Warn, line))
		}
	}
	for _, d := range m.scene.draw.Deferred {
		out = append(out, m.style(theme.Deferred, ansi.Truncate("… deferred: "+d.String(), width, "…")))
	}
	if m.view.Mirror {
		out = append(out, m.style(theme.Warn, ansi.Truncate("! the picture shows the other side: L is on the right", width, "…")))
	}
	if len(m.job.Others) > 0 {
		out = append(out, m.style(theme.Quiet, ansi.Truncate(theme.Clean("in work too: "+strings.Join(m.job.Others, ", ")), width, "…")))
	}
	for _, line := range m.bare() {
		out = append(out, ansi.Truncate(line, width, "…"))
	}
	return append(out, m.phases(width))
}

// lesson is what a demo says beside the step, in its first plan only: a mishap has words of its own.
func (m Model) lesson(width int) []string {
	text := m.lessons[m.shown()]
	if text == "" || m.again() || m.state.Plan() != m.job.Plan {
		return nil
	}
	var out []string
	for _, line := range strings.Split(ansi.Wordwrap("» "+text, width, ""), "\n") {
		out = append(out, m.style(theme.OK, line))
	}
	return out
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
