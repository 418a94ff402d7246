package bench

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/report"
	"pullcard/tui/screen"
	"pullcard/tui/theme"
)

// resumeCard asks whether things stand as they were left. It shows no count of steps, so that nobody takes the
// question for a step.
func (m Model) resumeCard(width int) []string {
	was, clamps, ask := m.resumeLines()
	return wrapAll(slices.Concat(was, clamps, ask), width)
}

// resumeLines are what was done last, where the clamps should stand, and the question.
func (m Model) resumeLines() (out, clamps, question []string) {
	out = []string{"", m.style(theme.Title, "This racket was left at "+m.job.Events[len(m.job.Events)-1].At.Local().Format("15:04 on 2 January 2006")), ""}
	ask, no := "Does all stand so?", "no, or the next step is begun"
	if last := m.state.Last(); last > 0 {
		s := &m.state.Plan().Steps[last-1]
		out = append(out, "The last thing done: "+m.style(theme.Current, s.Title))
		for _, a := range act.Of(m.state.Plan(), last, nil) {
			if a.Pulls() || a.Verb == act.Cut {
				a.NeedMM = 0 // of what comes next
				out = append(out, "  "+m.table.Line(&a))
			}
		}
		if s.Pull() != nil {
			ask, no = "Was that last pull in its clamp, and does all stand so?", "no, or the next step is begun"
		}
	} else {
		out = append(out, "Nothing was done yet.")
	}
	if m.state.Detour() {
		out = append(out, fmt.Sprintf("Step %d was to be done again; it is asked anew what had slipped.", m.state.Current()))
	}
	clamps = []string{"", "The clamps should stand so:"}
	for _, line := range m.table.Stand(m.scene.racket.Grip) {
		clamps = append(clamps, "  "+m.style(theme.Current, line))
	}
	if g := m.scene.racket.Gripper(); g != nil {
		question = append(question, "  "+m.style(theme.Warn, fmt.Sprintf("the gripper on %s at %s: look whether it still holds", g.Strand, g.Hole)))
	}
	question = append(question, "", m.style(theme.Warn, "Trust the clamps, never the gripper."),
		ask, "",
		m.style(theme.OK, "  enter  yes, go on"), m.style(theme.Danger, "  n      "+no))
	return out, clamps, question
}

func wrapAll(lines []string, width int) []string {
	var out []string
	for _, l := range lines {
		out = append(out, screen.Wrap(l, width)...)
	}
	return out
}

func (m Model) writeCard(width int) []string {
	m.input.Width = max(width-4, 10)
	return append(wrapAll([]string{"", m.style(theme.Title, theme.Clean(m.writeTitle())), ""}, width), m.input.View())
}

// writeTitle says what words are asked for.
func (m Model) writeTitle() string {
	switch m.mode {
	case asking:
		return m.whyTitle()
	case deciding:
		return m.leave.Trouble.Words() + ": it stays so; " + m.leave.Words
	}
	return "Note"
}

// finishedCard is the last screen: what was ordered, what differed from it, and what comes next.
func (m Model) finishedCard(width, height int) []string {
	p := m.state.Plan()
	if m.state.Status() == progress.Abandoned {
		why := "This job is given up."
		if p.Cracked() {
			why = "The frame is cracked; it is given up."
		}
		return wrapAll([]string{"", m.style(theme.Danger, why), "", "Everything that was done is in the book.", "", m.phases(width)}, width)
	}
	const few = 5
	for shown := few; ; shown-- { // what differed is told as far as there is room, all of it in the journal
		lines := []string{"", m.style(theme.OK, "This racket is strung."), "",
			theme.Clean(p.Frame) + " · " + theme.Clean(p.Technique), p.Terms.Tensions() + ", in " + m.elapsed(), ""}
		if differed := m.differed(shown); len(differed) > 0 {
			lines = append(lines, "What differed:")
			for _, text := range differed {
				lines = append(lines, m.hang("! ", theme.Warn, theme.Clean(text), width)...)
			}
		} else {
			lines = append(lines, "All was done as planned.")
		}
		lines = append(append(lines, "", tellPlayer, ""), m.hang("", theme.Quiet, m.onward(), width)...)
		lines = closeUp(wrapAll(append(lines, "", m.phases(width)), width), height)
		if len(lines) <= height || shown == 0 {
			return lines
		}
	}
}

// tellPlayer is what whoever plays with the racket is to know.
const tellPlayer = "Tell the player: the tension ordered, what differed, and that the bed softens most on the first day."

// onward says what may be done with the racket now.
func (m Model) onward() string {
	var words []string
	for _, a := range m.after() {
		words = append(words, a.Key.Help().Key+" "+a.Key.Help().Desc)
	}
	if len(words) == 0 {
		return "q leaves. In the rack, which pullcard alone opens, b keeps a reading and the player's word; pullcard ticket prints what goes with it."
	}
	return strings.Join(append(words, "q leaves"), " · ")
}

// differed says in words what was not done as planned: first what lasts, then of what was put right, where it is much, the first few.
func (m Model) differed(few int) []string {
	lasts, over := m.outcomes()
	if rest := len(over) - few; rest > 0 {
		more := "and %d more, put right: %s shows them all"
		if few == 0 {
			more = "%d things, put right: %s shows them"
		}
		over = append(over[:few:few], fmt.Sprintf(more, rest, m.keys.Journal.Help().Key))
	}
	return append(lasts, over...)
}

// outcomes is what differed: what lasts, and apart from it each slip and mishap that was put right.
func (m Model) outcomes() (lasts, over []string) {
	now, stand, told := m.scene.racket, m.past.Stand, progress.Told(m.past.Events)
	for _, n := range stand {
		if ended := m.past.Events[n-1].Outcome(now); ended == plan.PutRight {
			over = append(over, told[n-1]+": "+ended)
		}
	}
	return progress.Lasting(m.past.Events, stand, now), over
}

// journal are the lines of what happened at the bench: first what lasts, then in its order what was put right, taken back and noted.
func (m Model) journal() []report.Section {
	var lasting, rest report.Section
	stand, told := m.past.Stand, progress.Told(m.past.Events)
	for _, text := range progress.Lasting(m.past.Events, stand, m.scene.racket) {
		lasting.Warn(screen.Line(text))
	}
	for i, e := range m.past.Events {
		text := ""
		switch e.Kind {
		case progress.Redo, progress.Mishap:
			text = told[i]
			if pause := e.What == string(plan.FaultPause); !pause && !slices.Contains(stand, i+1) { // an interruption is none of those
				text += ": taken back"
			}
		case progress.Done:
			if e.What != "" {
				text = "pressed: " + e.What
			}
		case progress.Note:
			text = "noted: " + e.Why
		case progress.Resume:
			text = "taken up again"
		}
		if text != "" {
			rest.Say("%s  step %d  %s", e.At.Local().Format("15:04"), e.Step, screen.Line(text))
		}
	}
	if len(lasting.Lines)+len(rest.Lines) == 0 {
		rest.Say("All was done as planned.")
	}
	return []report.Section{lasting, rest}
}
