package bench

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"pullcard/sequence/act"
	"pullcard/sequence/progress"
	"pullcard/tui/theme"
)

// resumeCard asks whether things stand as they were left. It shows no count of steps, so that nobody takes the
// question for a step.
func (m Model) resumeCard(width int) []string {
	out := []string{"", m.style(theme.Title, "This racket was left at "+m.job.Events[len(m.job.Events)-1].At.Local().Format("15:04 on 2 January 2006")), ""}
	ask, no := "Does all stand so?", "no: what does not hold?"
	if last := m.state.Last(); last > 0 {
		s := &m.state.Plan().Steps[last-1]
		out = append(out, "The last thing done: "+m.style(theme.Current, s.Title))
		if s.Pull() != nil {
			for _, a := range act.Of(m.state.Plan(), last, nil) {
				if a.Pulls() {
					out = append(out, "  "+act.Written().Line(&a))
				}
			}
			ask, no = "Was that last pull in its clamp, and does all stand so?", "no: what does not hold?"
		}
	} else {
		out = append(out, "Nothing was done yet.")
	}
	if m.state.Detour() {
		out = append(out, fmt.Sprintf("Step %d was to be done again; it is asked anew what had slipped.", m.state.Current()))
	}
	out = append(out, "", "The clamps should stand so:")
	for _, line := range stands(m.scene.racket) {
		out = append(out, "  "+m.style(theme.Current, line))
	}
	out = append(out, "", m.style(theme.Warn, "Trust the clamps, never the gripper."),
		ask, "",
		m.style(theme.OK, "  enter  yes, go on"), m.style(theme.Danger, "  r      "+no))
	return wrapAll(out, width)
}

func wrapAll(lines []string, width int) []string {
	var out []string
	for _, l := range lines {
		out = append(out, strings.Split(ansi.Wordwrap(l, width, ""), "\n")...)
	}
	return out
}

func (m Model) writeCard(width int) []string {
	title := "Note"
	switch m.mode {
	case asking:
		title = "Why? " + m.happened(m.why[0])
	case deciding:
		title = m.leave.Trouble.Words() + ": it stays so"
	}
	m.input.Width = max(width-4, 10)
	return append(wrapAll([]string{"", m.style(theme.Title, theme.Clean(title)), ""}, width), m.input.View())
}

func (m Model) finishedCard(width int) []string {
	p := m.state.Plan()
	redone := 0
	for n := 1; n <= m.state.Steps(); n++ {
		redone += m.state.Redos(n)
	}
	if m.state.Status() == progress.Abandoned {
		why := "This job is closed."
		if p.Cracked() {
			why = "The frame is cracked; this job is closed."
		}
		return wrapAll([]string{"", m.style(theme.Danger, why), "", "Everything that was done is in the book.", "", m.phases(width)}, width)
	}
	lines := []string{"", m.style(theme.OK, "This racket is strung."), ""}
	for _, o := range m.scene.racket.Waived() {
		text := string(o.Strand) + " " + o.Text
		if o.Fault.Lies() {
			text += "; such a bed is not legal in play"
		}
		lines = append(lines, m.style(theme.Warn, theme.Clean("! "+text)))
	}
	return wrapAll(append(lines,
		theme.Clean(p.Frame)+" · "+theme.Clean(p.Technique),
		p.Terms.Tensions(),
		fmt.Sprintf("%d pulls, %d knots, %d done again", p.Totals.Pulls, p.Totals.Knots, redone),
		"plan "+p.Plan, "in "+m.elapsed(), "",
		"Tell the player: the tension ordered, what differed, and that the bed softens most on the first day.", "",
		m.style(theme.Quiet, "q: the next racket; there b keeps a reading and the player's word, pullcard ticket prints what goes with it."), "",
		m.phases(width)), width)
}
