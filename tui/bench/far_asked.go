package bench

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// farAsked is the far view of what is no step: a question with the answer that is marked, a racket that was left, one that is strung;
// below what is large all of it in ordinary text. Nil where that does not fit.
func (m Model) farAsked(width, height int) []string {
	switch {
	case m.mode == choosing:
		return m.farQuestion(width, height)
	case m.mode == resuming:
		var stand []string
		for _, c := range plan.Clamps() {
			if g := m.scene.racket.Grip(c); g != nil {
				text := fmt.Sprintf("%s %s %s", c, g.Strand, g.Hole)
				if g.Outside {
					text += " " + m.table.Short("outside", "")
				}
				stand = append(stand, text)
			}
		}
		return m.farOver(stand, theme.Current, closeUp(m.resumeCard(width), 0), width, height)
	case m.finished():
		return m.farOver([]string{m.table.Bench("strung", "")}, theme.OK, closeUp(m.finishedCard(width, height/2), 0), width, height)
	}
	return nil
}

// farOver sets texts large, each in rows of its own, over lines of ordinary text.
func (m Model) farOver(texts []string, role theme.Role, lines []string, width, height int) []string {
	for _, slim := range []bool{false, true} {
		var bands []farBand
		for _, text := range texts {
			bands = append(bands, m.inLetters(text, role, slim, width)...)
		}
		if bands = grow(bands, width, height-len(lines)-1); len(bands) > 0 {
			return filled(slices.Concat(m.spread(bands, 0), []string{""}, lines), nil, height)
		}
	}
	return nil
}

// farQuestion is the question and the answer that is marked, and the list in which it stands.
func (m Model) farQuestion(width, height int) []string {
	const least = 4
	q := m.asked[len(m.asked)-1]
	lines, from, to := m.answers(q, width)
	if q.Large != "" {
		whole := wrapAll(strings.Split(strings.TrimSpace(q.Ask+"\n"+q.Hint), "\n"), width)
		lines, from, to = append(whole, lines...), from+len(whole), to+len(whole)
	}
	for _, slim := range []bool{false, true} {
		bands := m.inLetters(cmp.Or(q.Large, q.Ask), theme.Title, slim, width)
		if q.at != none {
			bands = append(bands, m.inLetters(fmt.Sprintf("%d %s", q.Number(q.at), q.Answers[q.at].Say), theme.Current, slim, width)...)
		}
		if bands = grow(bands, width, height-min(len(lines), least)-2); bands == nil {
			continue
		}
		large := append(m.spread(bands, 0), "")
		return append(large, m.window(lines, from, to, height-len(large)-1)...)
	}
	return nil
}

// inLetters is a text in large letters, in as many rows as it needs; nil where the letters have no such form.
func (m Model) inLetters(text string, role theme.Role, slim bool, width int) []farBand {
	rows := farRows(strings.Fields(letters(text)), role, 0)
	if slim && !m.set.ASCII {
		rows = slimmed(rows)
	}
	return wrapBands(rows, width)
}

// letters is a text as far as there are large letters for it.
func letters(text string) string {
	const known = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:/%+-?"
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(known, r) {
			return r
		}
		return ' '
	}, strings.ToUpper(strings.ReplaceAll(text, "'", "")))
}
