package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/theme"
)

// card is what to do: figures to read from the machine, then the acts in order, the cautions, what comes next.
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
		return closeUp(m.finishedCard(width, height), height)
	}
	if !m.scene.face.led {
		return m.lookCard(width, height)
	}
	return m.figureCard(width, height)
}

// figureCard sets the figures as large as the room allows; what stands beside them is said more briefly before they shrink.
func (m Model) figureCard(width, height int) []string {
	type said struct{ head, below, foot []string }
	var notes [brevities]said
	for b := range brevities {
		below, foot := m.notes(b, width)
		notes[b] = said{m.banner(b, width), below, foot}
	}
	set := func(tries []try, from, to brevity) []string {
		for _, try := range tries {
			for b, n := range notes[from : to+1] {
				if try.rows > 3 && from+brevity(b) > flowing {
					break // what must be said comes before the largest figures
				}
				figures := m.figures(try.form, try.rows)
				room := height - len(n.head) - len(figures) - len(n.below) - len(n.foot)
				if try.wide(try.rows) > width || room < -1 {
					continue
				}
				brief := from+brevity(b) >= least
				if brief {
					if with := m.keptBeside(try, width); with != nil {
						figures = m.figures(with, try.rows)
					} else {
						kept := m.kept(width)
						n.below = append(n.below, kept...)
						room -= len(kept)
					}
				}
				switch {
				case room == -1 && brief: // the words go up to the figures
					figures = figures[:len(figures)-1]
				case room < 0:
					continue
				}
				return filled(slices.Concat(n.head, figures, n.below), n.foot, height)
			}
		}
		return nil
	}
	at := m.scene.face.at()
	var holed, rest []try // the hole goes from the figures last
	for _, try := range m.tries(width) {
		if len(m.scene.face.lead.Strands) > 0 || try.says(at) {
			holed = append(holed, try)
		} else {
			rest = append(rest, try)
		}
	}
	if lines := set(holed, full, least); lines != nil {
		return lines
	}
	if lines := set(holed, barest, barest); lines != nil {
		return lines
	}
	if lines := set(rest, full, barest); lines != nil {
		return lines
	}
	n := notes[least]
	return filled(slices.Concat(n.head, m.inWords(), n.below, m.kept(width)), n.foot, height)
}

// keptBeside has the clamps that the step leaves where they are, and those that are free, beside the first figures that have room for that;
// nil where none have.
func (m Model) keptBeside(t try, width int) form {
	for i, b := range t.form {
		p := part{small: m.scene.face.stands, role: theme.Quiet}
		room := width - b.wide(t.rows) - 3
		if p.wide(t.rows) > room {
			continue // none is broken
		}
		if p.small = flow(p.small, room); len(p.small) <= t.rows {
			return slices.Concat(t.form[:i], form{append(b[:len(b):len(b)], part{small: []string{" "}}, p)}, t.form[i+1:])
		}
	}
	return nil
}

// try is a form at a size.
type try struct {
	form
	rows int
}

// says whether a text is one of those in figures; an empty one always is.
func (t try) says(text string) bool {
	for _, b := range t.form {
		for _, p := range b {
			if p.big == text {
				return true
			}
		}
	}
	return text == ""
}

// tries are the ways to set the figures, the best first: the largest, then the clearest.
func (m Model) tries(width int) (out []try) {
	list, lined, narrow := m.forms(width)
	narrow = slices.Concat(lined, narrow)
	add := func(rows int, forms []form) {
		for _, f := range forms {
			out = append(out, try{f, rows})
		}
	}
	first := m.scene.face.first()
	above, beside := m.before(first)
	for _, rows := range figureRows() {
		switch least := rows == slices.Min(figureRows()); {
		case first == nil && least:
			list = append(list, narrow...)
		case least:
			add(rows, over(above, append(list[:len(list):len(list)], lined...)))
			add(rows, next(beside, list))
			list = next(beside, narrow)
		case first != nil: // it is done first, so it stands first and as large
			add(rows, over(above, list))
			continue
		}
		add(rows, list)
	}
	return out
}

// inWords are what the figures say in a line of ordinary text, where warnings take all the room.
func (m Model) inWords() []string {
	f := &m.scene.face
	line := f.strand
	if f.to != "" {
		line += "  " + f.from + " → " + f.to
	}
	return []string{m.style(theme.Current, line), m.style(theme.Current, strings.TrimSpace(f.word+f.tension+"  "+m.setTo())), ""}
}

// before is what is done before the act that leads: a band above it or, where room is short, lines beside its strand.
func (m Model) before(a *act.Act) (above band, beside part) {
	if a == nil {
		return nil, part{}
	}
	big, small := "LOOK", []string{"first"}
	switch {
	case a.Verb == act.Sleeve:
		big, small = m.table.Verb(a.Verb), append(small, "into "+string(a.To))
	case a.Verb == act.Measure && a.CutMM > 0:
		big, small = "CUT", append(small, fmt.Sprintf("%.0f mm", a.CutMM))
	case a.Verb == act.Measure:
		big = "CUT"
	}
	beside = part{small: append(append([]string{big}, small[1:]...), "first"), role: theme.Current}
	return band{{big: big, role: theme.Current}, {small: small, role: theme.Text}}, beside
}

// over puts a band above what forms show.
func over(b band, forms []form) (out []form) {
	for _, f := range forms {
		out = append(out, append(form{b}, f...))
	}
	return out
}

// next puts a part before the first band of forms.
func next(p part, forms []form) (out []form) {
	for _, f := range forms {
		out = append(out, append(form{append(band{p}, f[0]...)}, f[1:]...))
	}
	return out
}

// closeUp takes blank lines out of a card, the last ones first, as long as it is higher than there is room for.
func closeUp(lines []string, height int) []string {
	for i := len(lines) - 1; i >= 0 && len(lines) > height; i-- {
		if lines[i] == "" {
			lines = slices.Delete(lines, i, i+1)
		}
	}
	return lines
}

// filled puts the foot of a card where it ends.
func filled(lines, foot []string, height int) []string {
	for len(lines)+len(foot) < height {
		lines = append(lines, "")
	}
	if over := len(lines) + len(foot) - height; over > 0 { // what comes next goes before what is to be done now
		foot = foot[:max(len(foot)-over, 0)]
	}
	return append(lines, foot...)
}

// lookCard is a card on which nothing is done with string: a heading, and what is looked at.
func (m Model) lookCard(width, height int) []string {
	for b := range brevities {
		below, foot := m.notes(b, width)
		for _, rows := range figureRows() {
			set := inRows(strings.Fields(letters(m.scene.face.title)), width, rows)
			if head := slices.Concat(m.banner(b, width), m.figures(set, rows)); set.wide(rows) <= width && len(head)+len(below)+len(foot) <= height {
				return filled(append(head, below...), foot, height)
			}
		}
		head := slices.Concat([]string{""}, m.hang("", theme.Current, strings.ToUpper(m.scene.face.title), width), []string{""})
		lines := slices.Concat(m.banner(b, width), head, below)
		if len(lines)+len(foot) <= height || b >= least {
			return filled(lines, foot, height)
		}
	}
	return nil
}

// banner says that the step on the screen is not simply the next one.
func (m Model) banner(b brevity, width int) (out []string) {
	if m.notice.Role == theme.Danger && m.notice.Text != "" {
		return m.caution(theme.Danger, []string{m.notice.Text}, width) // the foot is too short for what to do about it
	}
	if m.look > 0 {
		out = m.hang("", theme.Warn, fmt.Sprintf("ONLY LOOKING; space: back to step %d", m.state.Current()), width)
	}
	if m.tellsAnew() {
		out = m.hang("", theme.Warn, "TAKEN BACK what was told. If something did happen: "+m.tells()+" tell it anew, first", width)
	}
	switch {
	case m.again():
		return m.hang("", theme.Danger, fmt.Sprintf("AGAIN (%d): %s", m.state.Redos(m.state.Current()), m.failed()), width)
	case curing(m.state) || len(m.slack()) > 0: // what slipped and is pulled again is still of the way back
		lines := wrapAll(append(out, m.style(theme.Danger, "WAY BACK: ")+m.style(theme.Text, theme.Clean(m.scene.wrong))), width)
		if b == full && !m.step().Record {
			lines = append(lines, m.hang("", theme.Quiet, "to "+theme.Clean(lower(m.step().Title)), width)...)
		}
		return append(lines, m.slackLines(b, width)...)
	}
	return out
}

// lower has a title go on in a line.
func lower(title string) string {
	if len(title) > 1 && title[1] >= 'a' && title[1] <= 'z' {
		return strings.ToLower(title[:1]) + title[1:]
	}
	return title
}

// slackLines name the strands that slipped and are not pulled again yet; where room is short, how many.
func (m Model) slackLines(b brevity, width int) []string {
	named := 1
	if b <= flowing {
		named = 8
	}
	if text := m.slackText(named); text != "" {
		return m.caution(theme.Warn, []string{text}, width)
	}
	return nil
}

// slackText says which strands slipped and are not pulled again yet, by name up to so many; empty for none.
func (m Model) slackText(named int) string {
	switch slack := m.slack(); {
	case len(slack) == 0:
		return ""
	case len(slack) <= max(named, 2):
		return m.scene.slackUntil + ": " + plan.Names(slack)
	default:
		return fmt.Sprintf("%s: %d strands, %s to %s", m.scene.slackUntil, len(slack), slack[0], slack[len(slack)-1])
	}
}

// failed says what failed in the step that is done again.
func (m Model) failed() string {
	for i := len(m.events) - 1; i >= 0; i-- {
		e := &m.events[i]
		switch {
		case e.Kind != progress.Redo || e.Step != m.state.Current():
		case e.What == progress.Gripper || e.What == "" && m.step().Pull() != nil:
			return "the gripper slipped"
		case e.What != "":
			return "clamp " + e.What + " slipped"
		}
	}
	return "it is done once more"
}
