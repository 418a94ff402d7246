package chart

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/controlchart"
	"pullcard/tui/theme"
)

func (m Model) style(r theme.Role, text string) string { return m.theme.Style(r).Render(text) }

// sign is a character, or what stands for it where only ASCII may be used.
func (m Model) sign(full, ascii string) string {
	if m.ascii {
		return ascii
	}
	return full
}

// plain is a text of people in one line; the dot between its parts has a form of its own in ASCII.
func (m Model) plain(text string) string {
	return theme.Clean(strings.Join(strings.Fields(strings.ReplaceAll(text, " · ", m.sign(" · ", " | "))), " "))
}

// room is how many columns a line has.
func (m Model) room() int { return max(m.width-2, 1) }

func (m Model) shown() Series { return m.series[m.at] }

// View is the whole screen, exactly as wide and high as the terminal.
func (m Model) View() string {
	if m.width < 1 || m.height < 1 {
		return ""
	}
	out := m.head()
	if c := m.shown().Chart; c != nil {
		for _, l := range controlchart.Text(c, m.room(), m.plotRows(), m.ascii) {
			out = append(out, m.style(theme.Main, l))
		}
	}
	words := m.words()
	out = append(out, words[m.top:min(m.top+m.wordRows(), len(words))]...)
	for len(out) < m.height-1 {
		out = append(out, "")
	}
	out = append(out[:m.height-1], m.foot())
	for i := range out {
		out[i] = theme.Fill(" "+out[i], m.width, m.ascii)
	}
	return m.theme.Paint(strings.Join(out, "\n"))
}

// head is which readings they are, and what the chart comes to.
func (m Model) head() []string {
	title := m.style(theme.Title, "CHART") + "  " + m.style(theme.Text, m.plain(m.shown().Title))
	if len(m.series) > 1 {
		title += m.style(theme.Quiet, fmt.Sprintf("  (%d of %d)", m.at+1, len(m.series)))
	}
	c := m.shown().Chart
	if c == nil {
		return []string{title, ""}
	}
	return []string{title, m.style(theme.Text, m.plain(brief(c)))}
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

// words are the lines below the plot, or in its place what to do.
func (m Model) words() (out []string) {
	s := m.shown()
	add := func(r theme.Role, mark, text string) {
		for _, l := range strings.Split(ansi.Wrap(m.plain(text), max(m.room()-lipgloss.Width(mark), 1), ""), "\n") {
			out = append(out, m.style(r, mark+l))
			mark = strings.Repeat(" ", lipgloss.Width(mark))
		}
	}
	if s.Chart == nil {
		add(theme.Text, "", "there are too few readings for a chart")
		add(theme.Text, "", "keep a reading after each job: on the job's page press a")
	} else if s.Chart.Base != nil {
		add(theme.Title, "", alarms(len(s.Words), len(s.Chart.EWMA)))
	}
	for _, w := range s.Words {
		add(theme.Text, m.sign("◆ ", "X "), w)
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
			add(theme.Quiet, "", "a person decides on a period with pullcard book baseline add")
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
func (m Model) free() int { return max(m.height-1-len(m.head()), 0) }

// wordRows is how many lines of words are in sight: all where they leave the plot two thirds of the room.
func (m Model) wordRows() int {
	if m.shown().Chart == nil {
		return m.free()
	}
	most := max(m.free()/3, min(leastWords, m.free()-leastPlot))
	return max(min(len(m.words()), most), 0)
}

func (m Model) plotRows() int { return m.free() - m.wordRows() }

// last is the last line that the words can begin with.
func (m Model) last() int { return max(len(m.words())-m.wordRows(), 0) }

// foot is the keys that can act, and how much more there is.
func (m Model) foot() string {
	foot := m.help.ShortHelpView(m.bindings())
	if m.top < m.last() {
		foot += m.style(theme.Quiet, "  more below")
	}
	return foot
}
