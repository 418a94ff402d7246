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
	var known [brevities]*said
	notes := func(b brevity) said { // most cards need the first alone
		if known[b] == nil {
			below, foot := m.notes(b, width)
			known[b] = &said{m.banner(b, width), below, foot}
		}
		return *known[b]
	}
	set := func(tries []try, from, to brevity) []string {
		for _, try := range tries {
			if try.wide(try.rows) > width {
				continue
			}
			for b := from; b <= to; b++ {
				if try.rows > 3 && b > flowing {
					break // what must be said comes before the largest figures
				}
				n, f := notes(b), try.form
				room := height - len(n.head) - f.high(try.rows) - len(n.below) - len(n.foot)
				if room < -1 {
					continue
				}
				brief := b >= least
				if brief {
					if with := m.keptBeside(try, width); with != nil {
						f = with
					} else {
						kept := m.kept(width)
						n.below = append(n.below, kept...)
						room -= len(kept)
					}
				}
				if room < 0 && !(room == -1 && brief) {
					continue
				}
				figures := m.figures(f, try.rows)
				switch {
				case room < 0: // the words go up to the figures
					figures = figures[:len(figures)-1]
				case room > 0 && len(n.head) > 0:
					n.head = append(n.head, "")
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
	n := notes(least)
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

// tries are the ways to set the figures, the best first: the largest, then the clearest. What comes before the act that leads stands before it and
// as large; over or under is no smaller than that.
func (m Model) tries(width int) (out []try) {
	list, lined, narrow := m.forms(width)
	add := func(rows int, forms []form) {
		for _, f := range forms {
			out = append(out, try{f, rows})
		}
	}
	above, beside := m.before()
	for _, rows := range figureRows() {
		all, least := list, rows == slices.Min(figureRows())
		if least {
			if all = slices.Concat(list, lined); above == nil || m.scene.face.lead.Face == "" {
				all = append(all, narrow...)
			}
		}
		for _, a := range above {
			add(rows, over(a, all))
		}
		switch {
		case above == nil:
			add(rows, all)
		case least:
			add(rows, next(beside, slices.Concat(list, lined, narrow)))
		}
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

// before is what comes before the act that leads, done first or minded: the ways to set it above that, or, where room is short, lines beside the
// strand.
func (m Model) before() (above []form, beside part) {
	row := func(role theme.Role, big string, small ...string) form {
		return form{{{big: big, role: role}, {small: small, role: theme.Text}}}
	}
	var all, short, last form // of a length the number alone where there is no room for the verb
	var verbs, what []string
	for _, a := range m.scene.face.first() {
		verb := m.table.Verb(a.Verb)
		switch {
		case a.Verb == act.Sleeve:
			last, what = row(theme.Current, verb, "first", "into "+string(a.To)), []string{"into " + string(a.To)}
		case a.Verb == act.Measure && a.CutMM > 0:
			verb = "CUT"
			long := fmt.Sprintf("%.0f", a.CutMM)
			last, what = row(theme.Current, verb+" "+long, "mm", "first"), []string{long + " mm"}
			short = append(all[:len(all):len(all)], row(theme.Current, long, verb, "mm", "first")...)
		case a.Verb == act.Measure && all != nil:
			continue // the list says it
		case a.Verb == act.Measure:
			verb = "CUT"
			last = row(theme.Current, verb, "first")
		default:
			last = row(theme.Current, verb, "first")
		}
		all, verbs = append(all, last...), append(verbs, verb)
	}
	switch away := m.table.Short("face-away", ""); {
	case all != nil:
		above = []form{all}
		if short != nil {
			above = append(above, short)
		}
		if len(all) > 1 {
			above = append(above, last)
		}
		return above, part{small: slices.Concat([]string{strings.Join(verbs, ", ")}, what, []string{"first"}), role: theme.Current}
	case m.scene.face.lead.Away:
		return []form{row(theme.Warn, away)}, part{small: strings.Fields(away), role: theme.Warn}
	}
	return nil, part{}
}

// over puts bands above what forms show.
func over(above form, forms []form) (out []form) {
	for _, f := range forms {
		out = append(out, slices.Concat(above, f))
	}
	return out
}

// next puts lines beside what the first bands of forms show, or, where both have room there, above ordinary letters that stand first in them.
func next(p part, forms []form) (out []form) {
	for _, f := range forms {
		out = append(out, append(form{append(band{p}, f[0]...)}, f[1:]...))
		if first := f[0][0]; first.big == "" && len(p.small)+len(first.small) <= slices.Min(figureRows()) {
			both := part{small: slices.Concat(p.small, first.small), role: p.role}
			out = append(out, append(form{append(band{both}, f[0][1:]...)}, f[1:]...))
		}
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

// lookCard is a card on which nothing is done with string: a heading, and what is looked at. What stands beside the heading is said more
// briefly, and then the heading itself, before its letters are narrow and, at last, small. What is done first, as a scrap that is left, goes only
// where the heading's verb alone leaves it no room.
func (m Model) lookCard(width, height int) []string {
	var also []farBand // what is done first, or with it
	headings := func(title string) (out [][]string) {
		for _, rows := range figureRows() {
			set := inRows(strings.Fields(letters(title)), width, rows)
			for _, b := range also {
				for _, row := range inRows(strings.Fields(b.text), width, rows) {
					row[0].role = b.role
					set = append(set, row)
				}
			}
			if set.wide(rows) <= width {
				out = append(out, m.figures(set, rows))
			}
		}
		return out
	}
	narrow := func(title string) [][]string {
		bands := m.inLetters(title, theme.Current, true, width)
		for _, b := range also {
			bands = append(bands, m.inLetters(b.text, b.role, true, width)...)
		}
		if bands = grow(bands, width, height); bands != nil {
			return [][]string{append(m.spread(sized(bands, 1), 0), "")}
		}
		return nil
	}
	titles := briefer(m.scene.face.title)
	titles, last := titles[:len(titles)-1], titles[len(titles)-1:]
	all := m.ahead()
	begun := slices.Clone(all) // the holes stand in the caution below
	for i, b := range all {
		begun[i].text = strings.TrimSpace(b.text[:strings.IndexAny(b.text+"0", "0123456789")])
	}
	for _, try := range []struct {
		also   []farBand
		set    func(string) [][]string
		titles []string
	}{{all, headings, titles}, {all, narrow, titles}, {begun, headings, titles}, {begun, narrow, titles},
		{begun, headings, last}, {begun, narrow, last},
		{nil, headings, titles}, {nil, narrow, titles}, {nil, headings, last}, {nil, narrow, last}} {
		also = try.also
		for _, title := range try.titles {
			for b := full; b < least; b++ {
				below, foot := m.notes(b, width)
				for _, large := range try.set(title) {
					if head := slices.Concat(m.banner(b, width), large); len(head)+len(below)+len(foot) <= height {
						return filled(append(head, below...), foot, height)
					}
				}
			}
		}
	}
	small := func(b brevity) (lines, foot []string, fits bool) {
		below, foot := m.notes(b, width)
		head := slices.Concat([]string{""}, m.hang("", theme.Current, strings.ToUpper(m.scene.face.title), width), []string{""})
		lines = slices.Concat(m.banner(b, width), head, below)
		return lines, foot, len(lines)+len(foot) <= height
	}
	lines, foot, fits := small(full)
	for b := full + 1; b <= least && !fits; b++ {
		lines, foot, fits = small(b)
	}
	told := m.job.Warnings // as many of them as there is room for, each whole
	for n := len(told) - 1; n >= 0 && !fits; n-- {
		m.job.Warnings = append(slices.Clone(told[:n]), m.furtherOn(len(told)-n))
		lines, foot, fits = small(least)
	}
	return filled(lines, foot, height)
}

// briefer are a heading, the same without its small words, of that only what is to be done, with a number that is set, what is taken off or out, and the first word.
func briefer(title string) []string {
	var bare []string
	for _, word := range strings.Fields(title) {
		if !slices.Contains([]string{"the", "at", "of", "its", "is", "it"}, strings.ToLower(word)) {
			bare = append(bare, word)
		}
	}
	short := strings.Join(bare, " ")
	begins := strings.Replace(short, " machine to", "", 1)
	for _, on := range []string{",", ";", ":", " under ", " where "} {
		begins, _, _ = strings.Cut(begins, on)
	}
	first, _, _ := strings.Cut(begins, " ") // of "take the pieces out" it says nothing, without it the rest says all
	return []string{title, short, begins, strings.TrimPrefix(begins, "Take "), first}
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
	case curing(m.state) || len(m.scene.slack) > 0: // what is slack and is pulled again is still of the way back
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

// slackLines name the strands that were tight and are slack; where room is short, how many.
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

// slackText says which strands were tight and are slack, by name up to so many; empty for none.
func (m Model) slackText(named int) string {
	switch slack := m.scene.slack; {
	case len(slack) == 0:
		return ""
	case len(slack) > 3 && slack[0].IsCross() && number(slack[len(slack)-1])-number(slack[0]) == len(slack)-1:
		return fmt.Sprintf("%s: %s to %s", m.scene.slackUntil, slack[0], slack[len(slack)-1])
	case len(slack) <= max(named, 2):
		return m.scene.slackUntil + ": " + plan.Names(slack)
	default: // they need not follow on each other
		return fmt.Sprintf("%s: %s and %d others", m.scene.slackUntil, slack[0], len(slack)-1)
	}
}

func number(s plan.Strand) int {
	_, n, _ := s.Parts()
	return n
}

// failed says what failed in the step that is done again.
func (m Model) failed() string {
	for i := len(m.past.Events) - 1; i >= 0; i-- {
		e := &m.past.Events[i]
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
