package bench

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pullcard/sequence/cases"
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
		return m.farResume(width, height)
	case m.finished():
		return m.farOver([]string{m.table.Bench("strung", "")}, theme.OK, closeUp(m.finishedCard(width, height/2), 0), width, height)
	}
	return nil
}

// farResume asks of a racket that was left whether its clamps stand as they stood: below, all of it or, where room is short, what large
// letters do not say; at worst the clamps alone are large.
func (m Model) farResume(width, height int) []string {
	var stand, idle []string
	for _, c := range plan.Clamps() {
		g := m.scene.racket.Grip(c)
		if g == nil {
			idle = append(idle, string(c))
			continue
		}
		text := fmt.Sprintf("%s %s %s", c, g.Strand, g.Hole)
		if g.Outside {
			text += " " + m.table.Short("outside", "")
		}
		stand = append(stand, text)
	}
	if len(idle) > 0 {
		stand = append(stand, m.table.Short("free", strings.Join(idle, " ")))
	}
	asks := slices.Concat([]string{m.table.Short("stand-so", "")}, stand, []string{m.table.Short("stand-keys", "")})
	was, clamps, ask := m.resumeLines()
	all, rest := closeUp(wrapAll(slices.Concat(was, clamps, ask), width), 0), closeUp(wrapAll(slices.Concat(was, ask), width), 0)
	for _, try := range []struct{ large, lines []string }{{asks, all}, {asks, rest}, {stand, all}} {
		if lines := m.farOver(try.large, theme.Current, try.lines, width, height); lines != nil {
			return lines
		}
	}
	return nil
}

// farOver sets texts large, each in rows of its own as long as there is room, over lines of ordinary text.
func (m Model) farOver(texts []string, role theme.Role, lines []string, width, height int) []string {
	for _, try := range []struct{ slim, abreast bool }{{false, false}, {true, false}, {true, true}} {
		var bands []farBand
		for _, text := range texts {
			bands = append(bands, m.inLetters(text, role, try.slim, width)...)
		}
		if try.abreast {
			bands = wrapBands(bands, width)
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
	ask := q.Hint
	if q.Large != "" {
		ask = strings.TrimSpace(q.Ask + "\n" + q.Hint)
	}
	if ask != "" {
		whole := wrapAll(strings.Split(ask, "\n"), width)
		lines, from, to = append(whole, lines...), from+len(whole), to+len(whole)
	}
	for _, short := range []bool{false, true} {
		for size := 3; size > 0; size-- { // in more rows it is larger, as long as the whole list has room
			room := height - len(lines) - 2
			if size == 1 {
				room = height - min(len(lines), least) - 2
			}
			for _, slim := range []bool{false, true} {
				bands := append(m.inLetters(cmp.Or(q.Large, q.Ask), theme.Title, slim, width/size), m.farAnswers(q, answerAs{slim, short}, width/size)...)
				if bands = grow(bands, width, room); smallest(bands) < size {
					continue
				}
				large := append(m.spread(bands, 0), "")
				return append(large, m.window(lines, from, to, height-len(large)-1)...)
			}
		}
	}
	return nil
}

// answerAs is how answers are set large: in narrow letters, and only so far as it takes to tell them apart.
type answerAs struct{ slim, short bool }

// waysToAnswer are all of them, the best first.
func waysToAnswer() []answerAs {
	return []answerAs{{false, false}, {true, false}, {false, true}, {true, true}}
}

// begun is how an answer begins, up to the first comma or colon, where no other one begins so; otherwise all of it.
func (q asked) begun(i int) string {
	begin := func(a *cases.Answer) string { return a.Say[:(strings.IndexAny(a.Say+",", ",:;"))] }
	for k := range q.Answers {
		if k != i && begin(&q.Answers[k]) == begin(&q.Answers[i]) {
			return q.Answers[i].Say
		}
	}
	return begin(&q.Answers[i])
}

// farAnswers are the answer that is marked, with what it takes to give it or, while none is, those that there are large words for.
func (m Model) farAnswers(q asked, as answerAs, width int) (bands []farBand) {
	abreast := true
	for i := range q.Answers {
		a, number := &q.Answers[i], strconv.Itoa(q.Number(i))
		switch {
		case i != q.at && (q.at != none || a.Large == ""):
			continue
		case q.begins(q.Number(i)):
			number = m.table.Short("then-enter", number)
		}
		say := a.Say
		if as.short {
			say = q.begun(i)
		}
		rows := m.inLetters(number+" "+cmp.Or(a.Large, say), theme.Current, as.slim, width)
		abreast, bands = abreast && len(rows) == 1, append(bands, rows...)
	}
	if abreast {
		return wrapBands(bands, width)
	}
	return bands
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
