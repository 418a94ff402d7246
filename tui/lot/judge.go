package lot

import (
	"context"
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/verdict"
	"pullcard/tui/theme"
)

// answers are what a player can say, from far too tight to far too loose.
func answers() []verdict.Answer {
	return []verdict.Answer{
		{Way: verdict.TooTight, Degree: verdict.Far}, {Way: verdict.TooTight, Degree: verdict.Plainly}, {Way: verdict.TooTight, Degree: verdict.ABit},
		{Way: verdict.Right},
		{Way: verdict.TooLoose, Degree: verdict.ABit}, {Way: verdict.TooLoose, Degree: verdict.Plainly}, {Way: verdict.TooLoose, Degree: verdict.Far},
	}
}

// judge begins with a verdict: with the racket where there are several, the newest chosen.
func (m Model) judge() Model {
	m.racket, m.said, m.mode = len(m.sheet.Judgeable)-1, len(answers())/2, answering
	if m.racket > 0 {
		m.mode = picking
	}
	m.input.Reset()
	return m
}

// pressList goes through the list of rackets or of answers.
func (m Model) pressList(k tea.KeyMsg) Model {
	at, count := &m.racket, len(m.sheet.Judgeable)
	if m.mode == answering {
		at, count = &m.said, len(answers())
	}
	switch {
	case key.Matches(k, m.keys.Up):
		*at = max(*at-1, 0)
	case key.Matches(k, m.keys.Down):
		*at = min(*at+1, count-1)
	case key.Matches(k, m.keys.Number):
		m.said, m.mode = int(k.Runes[0]-'1'), wording
	case key.Matches(k, m.keys.Choose):
		m.mode++ // from the racket to the answer, from there to the words
	case key.Matches(k, m.keys.Back):
		return m.back()
	}
	return m
}

// back goes one question back, and from the first one to the sheet.
func (m Model) back() Model {
	switch {
	case m.mode == wording:
		m.mode = answering
	case m.mode == answering && len(m.sheet.Judgeable) > 1:
		m.mode = picking
	default:
		m.mode = reading
	}
	return m
}

func (m Model) pressWords(k tea.KeyMsg) (Model, tea.Cmd) {
	switch {
	case key.Matches(k, m.keys.Back):
		return m.back(), nil
	case !key.Matches(k, m.keys.Choose):
		return m.typeIn(k)
	}
	m.sent = true
	b, of, answer, words := m.book, m.sheet.Judgeable[m.racket], answers()[m.said].String(), m.typed()
	said := fmt.Sprintf("kept: %s, %s", of.Name, answer)
	return m, func() tea.Msg {
		s, err := b.Judge(context.Background(), of.UID, answer, words)
		return sheetMsg{s, said, err}
	}
}

// question is what is asked of a verdict, the list that is chosen from, and which line of it is in hand.
func (m Model) question() (lines []string, chosen int) {
	head := func(text string) { lines = append(lines, m.Style(theme.Text, m.Plain(text)), "") }
	if m.mode == picking {
		head("which racket did the player judge?")
		for i, c := range m.sheet.Judgeable {
			lines = append(lines, m.choice(i == m.racket, c.Name))
		}
		return lines, 2 + m.racket
	}
	head("what did the player say of " + m.sheet.Judgeable[m.racket].Name + "?")
	for i, a := range answers() {
		lines = append(lines, m.choice(i == m.said, fmt.Sprintf("%d %s", i+1, a)))
	}
	if chosen = 2 + m.said; m.mode == wording {
		lines = append(lines, "", m.Style(theme.Text, "the player's own words, which may stay empty:"), m.input.View())
		chosen = len(lines) - 1
	}
	return lines, chosen
}

func (m Model) choice(chosen bool, text string) string {
	if chosen {
		return m.Style(theme.Current, m.Sign("▶ ", "> ")+m.Plain(text))
	}
	return m.Style(theme.Text, "  "+m.Plain(text))
}
