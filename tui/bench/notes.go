package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// brevity is how briefly what stands beside the figures is said: it shrinks before figures do.
type brevity uint8

const (
	full    brevity = iota // a line for each act
	flowing                // acts one behind the other
	brief                  // what comes next shorter
	least                  // only what must be known for this step
	barest                 // and nothing of what comes after it
	brevities
)

// notes are the lines below the figures, then those at the foot of the card.
func (m Model) notes(b brevity, width int) (below, foot []string) {
	below = append(m.acts(b, width), m.staying(b, width)...)
	below = append(below, m.words(width)...)
	return below, m.tail(b, width)
}

// acts are what hands do, in order; the first is what they do next. What must be known before an act stands before it.
func (m Model) acts(b brevity, width int) (out []string) {
	f := &m.scene.face
	if b != full {
		return append(m.cautions(width), m.flowing(width)...)
	}
	for i := range f.acts {
		mark, role := "· ", theme.Text
		if i == 0 {
			mark, role = "▶ ", theme.Current
		}
		a := &f.acts[i]
		out = append(out, m.caution(theme.Warn, m.put(a.Warn), width)...)
		does, found := m.line(a)
		out = append(out, m.hang(mark, role, does, width)...)
		for _, text := range found {
			out = append(out, m.hang("  ", theme.Current, text, width)...)
		}
		for _, text := range m.put(a.Notes) {
			out = append(out, m.hang("  ", theme.Text, theme.Clean(text), width)...)
		}
	}
	return out
}

// line is an act in a line, and what hands can find of a strand that they press, each with its key.
func (m Model) line(a *act.Act) (does string, found []string) {
	alone := *a
	alone.Asks = false
	for i, text := range m.table.Felt(a) {
		found = append(found, fmt.Sprintf("%d %s", i+1, theme.Clean(text)))
	}
	return theme.Clean(m.table.Line(&alone)), found
}

// put has texts of the plan in the table's words.
func (m Model) put(texts []string) (out []string) {
	for _, text := range texts {
		out = append(out, m.table.Text(text))
	}
	return out
}

// cautions are what must be known before the acts of the step.
func (m Model) cautions(width int) (out []string) {
	for i := range m.scene.face.acts {
		out = append(out, m.caution(theme.Warn, m.put(m.scene.face.acts[i].Warn), width)...)
	}
	return out
}

// flowing are the acts one behind the other.
func (m Model) flowing(width int) (out []string) {
	var items []string
	for i := range m.scene.face.acts {
		a := &m.scene.face.acts[i]
		does, found := m.line(a)
		items = append(append(items, does), found...)
		for _, text := range m.put(a.Notes) {
			items = append(items, theme.Clean(text))
		}
	}
	for i, line := range flow(items, width-2) {
		mark := "  "
		if first, rest, ok := strings.Cut(line, " · "); i == 0 && ok {
			line = m.style(theme.Current, first) + " · " + rest
		} else if i == 0 {
			line = m.style(theme.Current, line)
		}
		if i == 0 {
			mark = "▶ "
		}
		out = append(out, m.style(theme.Quiet, mark)+line)
	}
	return out
}

// hang sets a text behind a mark; further lines begin below the text.
func (m Model) hang(mark string, role theme.Role, text string, width int) (out []string) {
	for _, line := range screen.Wrap(text, max(width-lipgloss.Width(mark), 1)) {
		out = append(out, m.style(theme.Quiet, mark)+m.style(role, line))
		mark = strings.Repeat(" ", lipgloss.Width(mark))
	}
	return out
}

// flow sets items one behind the other, none broken that fits a line.
func flow(items []string, width int) (out []string) {
	line := ""
	for _, item := range items {
		switch next := line + " · " + item; {
		case line == "":
			line = item
		case lipgloss.Width(next) <= width:
			line = next
		default:
			out, line = append(out, line), item
		}
		if lipgloss.Width(line) > width { // what comes next stands apart from its last line
			out, line = append(out, screen.Wrap(line, max(width, 1))...), ""
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// staying are the clamps that the step leaves where they are, and how the cross in hand is woven.
func (m Model) staying(b brevity, width int) (out []string) {
	f := &m.scene.face
	items := f.stay
	if f.weave != "" && f.tension != "" {
		items = append([]string{f.weave}, items...)
	}
	if b >= least { // what stays stands where there is room
		items = items[:len(items)-len(f.stay)]
	}
	for _, line := range flow(items, width) {
		out = append(out, m.style(theme.Quiet, line))
	}
	return out
}

// kept are the clamps that the step leaves where they are, and those that are free, below what is said at least.
func (m Model) kept(width int) (out []string) {
	for _, line := range flow(m.scene.face.stands, width) {
		out = append(out, m.style(theme.Quiet, line))
	}
	return out
}

// words are the cautions of the step as a whole.
func (m Model) words(width int) (out []string) {
	if m.step().Phase == plan.PhaseMount {
		out = append(out, m.caution(theme.Warn, m.job.Warnings, width)...)
	}
	return append(out, m.caution(theme.Warn, m.foreseen.before(m.state.Plan(), m.step().N), width)...)
}

// furtherOn is how many cautions there is no room for, and where they stand.
func (m Model) furtherOn(n int) string {
	if m.job.Numbers == nil {
		return fmt.Sprintf("%d more on a larger screen", n)
	}
	return fmt.Sprintf("%d more, on the page of %s", n, m.keys.Numbers.Help().Key)
}

func (m Model) caution(r theme.Role, texts []string, width int) (out []string) {
	for _, text := range texts {
		for _, line := range screen.Wrap(theme.Clean("! "+text), width) {
			out = append(out, m.style(r, line))
		}
	}
	return out
}

// tail is what comes next, what will be covered, what is deferred, and how far the phases are.
func (m Model) tail(b brevity, width int) (out []string) {
	if b == barest {
		return nil
	}
	if b < brief {
		out = m.lesson(width)
		if m.step().Phase == plan.PhaseMount && (m.width < pictureFrom || m.height < pictureHigh) {
			out = append(out, m.style(theme.Quiet, fmt.Sprintf("from %d×%d on the window shows the racket", pictureFrom, pictureHigh)))
		}
	}
	next := "next "
	if m.again() {
		next = "then "
	}
	if b >= least {
		text := m.scene.next
		if lipgloss.Width(text) > width-5 { // without the hole that is looked for last
			text = m.scene.briefly
		}
		out = append(out, m.hang(next, theme.Text, text, width)...)
	} else {
		out = append(out, m.hang(next, theme.Text, m.scene.next, width)...)
	}
	if holes := m.scene.soon; len(holes) > 0 {
		text := "◇ the next run covers " + plan.Holes(holes) + ": leave a scrap in"
		if b >= brief {
			text = "◇ next covers " + plan.Holes(holes) + ": scrap in"
		}
		out = append(out, m.hang("", theme.Warn, text, width)...)
	}
	out = append(out, m.deferred(b, width)...)
	if len(m.job.Others) > 0 {
		out = append(out, m.style(theme.Quiet, ansi.Truncate(theme.Clean("in work too: "+strings.Join(m.job.Others, ", ")), width, "…")))
	}
	for _, line := range m.bare() {
		out = append(out, ansi.Truncate(line, width, "…"))
	}
	if b != full {
		return out
	}
	return append(out, m.phases(width))
}

// deferred are the strands that are finished later; of many, as in a way back, the first and how many more.
func (m Model) deferred(b brevity, width int) (out []string) {
	const few = 2
	list := m.scene.draw.Deferred
	if b >= least && len(list) > 0 {
		if all := "… deferred: " + list[0].String(); len(list) == 1 && lipgloss.Width(all) <= width {
			return []string{m.style(theme.Deferred, all)}
		}
		names := make([]string, len(list))
		for i, d := range list {
			names[i] = string(d.Strand) + " at " + string(d.Hole)
		}
		return m.hang("", theme.Deferred, "… deferred: "+strings.Join(names[:min(few, len(names))], ", ")+more(len(list)-few), width)
	}
	for i, d := range list {
		if i == few {
			out = append(out, m.style(theme.Deferred, fmt.Sprintf("… and %d more deferred", len(list)-few)))
			break
		}
		out = append(out, m.hang("", theme.Deferred, "… deferred: "+d.String(), width)...)
	}
	return out
}

// more says how many more there are, if any.
func more(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf(" and %d more", n)
}

// lesson is what a demo says beside the step, in its first plan only: a mishap has words of its own.
func (m Model) lesson(width int) []string {
	text := m.lessons[m.shown()]
	if text == "" || m.again() || m.state.Plan() != m.job.Plan {
		return nil
	}
	return m.hang("» ", theme.Title, text, width)
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
	cells := (width - names + 1) / len(plan.Phases())
	shown := plan.Phases()
	if cells < 2 { // there is room for the one in hand only
		shown, cells = []plan.Phase{m.step().Phase}, max(width-len(m.step().Phase)-1, 1)
	}
	var out []string
	for _, ph := range shown {
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
