package bench

import (
	"fmt"
	"slices"
	"strings"

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
		return m.finishedCard(width)
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
	list, lined, narrow := m.forms(width)
	passes := [][2][]form{{list, append(lined, narrow...)}}
	if m.scene.face.stops() { // it is done first, so it stands first and as large
		passes = [][2][]form{{looking(list), looking(lined)}, passes[0]}
	}
	for _, pass := range passes {
		for _, rows := range figureRows() {
			tries := pass[0]
			if rows == slices.Min(figureRows()) {
				tries = slices.Concat(pass[0], pass[1])
			}
			for b, n := range notes {
				if rows > 3 && brevity(b) > flowing {
					break // what must be said comes before the largest figures
				}
				room := height - len(n.head) - len(n.below) - len(n.foot)
				for _, f := range tries {
					if f.wide(rows) <= width && f.tall(rows) <= room {
						return filled(slices.Concat(n.head, m.figures(f, rows), n.below), n.foot, height)
					}
				}
			}
		}
	}
	f, n := &m.scene.face, notes[least]
	line := f.strand
	if f.to != "" {
		line += "  " + f.from + " → " + f.to
	}
	figures := []string{m.style(theme.Current, line), m.style(theme.Current, strings.TrimSpace(f.word+f.tension+"  "+m.setTo())), ""}
	return filled(slices.Concat(n.head, figures, n.below), n.foot, height)
}

// looking puts a look before what the forms show.
func looking(forms []form) (out []form) {
	look := band{{big: "LOOK", role: theme.Current}, {small: []string{"first"}, role: theme.Text}}
	for _, f := range forms {
		out = append(out, append(form{look}, f...))
	}
	return out
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
		head := []string{"", m.style(theme.Current, strings.ToUpper(m.scene.face.title)), ""}
		lines := slices.Concat(m.banner(b, width), head, below)
		if len(lines)+len(foot) <= height || b == least {
			return filled(lines, foot, height)
		}
	}
	return nil
}

// banner says that the step on the screen is not simply the next one.
func (m Model) banner(b brevity, width int) []string {
	if m.notice.Role == theme.Danger && m.notice.Text != "" {
		return m.caution(theme.Danger, []string{m.notice.Text}, width) // the foot is too short for what to do about it
	}
	switch {
	case m.look > 0:
		return []string{m.style(theme.Warn, fmt.Sprintf("ONLY LOOKING; space: back to step %d", m.state.Current()))}
	case m.again():
		return m.hang("", theme.Danger, fmt.Sprintf("AGAIN (%d): %s", m.state.Redos(m.state.Current()), m.failed()), width)
	case curing(m.state):
		lines := wrapAll([]string{m.style(theme.Danger, "WAY BACK: ") + m.style(theme.Text, theme.Clean(m.scene.wrong))}, width)
		if b == full {
			lines = append(lines, m.hang("", theme.Quiet, "to "+theme.Clean(lower(m.scene.face.title)), width)...)
		}
		return append(lines, m.slackLines(b, width)...)
	}
	return nil
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
	const named = 8
	slack := m.slack()
	switch {
	case len(slack) == 0:
		return nil
	case b == full && len(slack) <= named:
		return m.caution(theme.Warn, []string{m.scene.slackUntil + ": " + plan.Names(slack)}, width)
	}
	return m.caution(theme.Warn, []string{fmt.Sprintf("%s: %d strands, %s to %s", m.scene.slackUntil, len(slack), slack[0], slack[len(slack)-1])}, width)
}

// failed says what failed in the step that is done again.
func (m Model) failed() string {
	for i := len(m.events) - 1; i >= 0; i-- {
		e := &m.events[i]
		switch {
		case e.Kind != progress.Redo || e.Step != m.state.Current():
		case e.What == progress.Gripper || e.What == "" && m.step().Pull() != nil:
			return "the gripper slipped: grip a fresh stretch of string"
		case e.What != "":
			return "clamp " + e.What + " slipped"
		}
	}
	return "it is done once more"
}
