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
	out := []string{title, m.style(theme.Text, fmt.Sprintf("%d readings, mean %.3f, limits %.3f to %.3f", len(c.Points), c.Centre, c.Lower, c.Upper))}
	if !c.Trusted() {
		out = append(out, m.style(theme.Warn, fmt.Sprintf("! fewer than %d readings: the limits are a first guess", controlchart.Enough)))
	}
	return out
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
	} else {
		add(theme.Title, "", broken(len(s.Chart.Flagged())))
	}
	for _, w := range s.Words {
		add(theme.Text, m.sign("◆ ", "X "), w)
	}
	if s.Note != "" {
		add(theme.Quiet, "", s.Note)
	}
	return out
}

// broken says how many points are marked.
func broken(n int) string {
	switch n {
	case 0:
		return "no point breaks a rule"
	case 1:
		return "one point breaks a rule; what changed there:"
	}
	return fmt.Sprintf("%d points break a rule; what changed there:", n)
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
