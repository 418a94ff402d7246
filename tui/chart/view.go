package chart

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"

	"pullcard/sequence/controlchart"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

func (m Model) shown() Series { return m.series[m.at] }

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	var body []string
	if c := m.shown().Chart; c != nil {
		for _, l := range controlchart.Text(c, m.Room(), m.free()-m.words.Height, m.ASCII) {
			body = append(body, m.Style(theme.Main, l))
		}
	}
	if m.words.Height > 0 {
		body = append(body, m.words.View())
	}
	// The help of one arrow names both.
	return m.Page(m.head(), strings.Split(strings.Join(body, "\n"), "\n"), m.foot())
}

// foot is the notice or, without one, the keys.
func (m Model) foot() []string {
	if says := m.Says(); says != nil {
		return says
	}
	return m.Scrolling(m.words, m.keys.Left, m.keys.Up, m.keys.Decide, m.keys.Leave)
}

// head is which readings they are, and what the chart comes to.
func (m Model) head() []string {
	title := m.Style(theme.Title, "CHART") + "  " + m.Style(theme.Text, m.Plain(m.shown().Title))
	if len(m.series) > 1 {
		title += m.Style(theme.Quiet, fmt.Sprintf("  (%d of %d)", m.at+1, len(m.series)))
	}
	c := m.shown().Chart
	if c == nil {
		return []string{title, ""}
	}
	return []string{title, m.Style(theme.Text, m.Plain(brief(c)))}
}

// brief is what the chart comes to in one line.
func brief(c *controlchart.Chart) string {
	b := c.Base
	if b == nil {
		return fmt.Sprintf("%d stringings; limits come with a baseline of %d", len(c.Points), controlchart.LeastBaseline)
	}
	lower, upper := b.Limits()
	return fmt.Sprintf("%d stringings, limits %.3f to %.3f, + is the EWMA", len(c.Points), lower, upper)
}

// lines are the words below the plot, or in its place what to do.
func (m Model) lines() (out []string) {
	s := m.shown()
	add := func(r theme.Role, mark, text string) {
		out = append(out, m.Hang(r, mark, m.Plain(text), m.Room())...)
	}
	if s.Chart == nil {
		add(theme.Text, "", "there are too few readings for a chart")
		add(theme.Text, "", "keep a reading after each job: on the job's page press a")
	} else if s.Chart.Base != nil {
		add(theme.Title, "", alarms(len(s.Words), len(s.Chart.EWMA)))
	}
	for _, w := range s.Words {
		add(theme.Text, m.Sign("◆ ", "X "), w)
	}
	if s.Chart != nil && s.Chart.Base != nil {
		words := s.Chart.Base.Words()
		if s.Chart.Base.Trend() {
			add(theme.Warn, "! ", words[0])
			words = words[1:]
		}
		for _, w := range words {
			add(theme.Quiet, "", w)
		}
		if s.Chart.Base.Name == "" {
			add(theme.Quiet, "", "a person decides on a period: b")
		}
	}
	if s.Note != "" {
		add(theme.Quiet, "", s.Note)
	}
	return out
}

// alarms says how often one was raised by those that were judged.
func alarms(n, judged int) string {
	switch {
	case judged == 0:
		return "no stringing since the baseline"
	case n == 0:
		return "nothing alarms"
	case n == 1:
		return "one alarm; what changed there:"
	}
	return fmt.Sprintf("%d alarms; what changed there:", n)
}

// leastPlot is how many rows the plot keeps, and how many the words have at least.
const leastPlot, leastWords = 7, 3

// free is the room between head and foot.
func (m Model) free() int { return max(m.Height-max(len(m.Says()), 1)-len(m.head()), 0) }

// Help is what the screen is for, and its keys.
func (m Model) Help() screen.Help {
	return screen.Help{Text: "Are the rackets alike? Each point is a strung bed: what was read, as a share of what its tensions compute to. Between the limits they differ as they always do; a point that is marked tells below what changed there.",
		Keys: []key.Binding{m.keys.Left, m.keys.Up, m.keys.Decide, m.keys.Leave}}
}
