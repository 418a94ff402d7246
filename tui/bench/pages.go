package bench

import (
	"fmt"
	"strings"

	"pullcard/sequence/act"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/tui/screen"
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
					a.NeedMM = 0 // of what comes next
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
		out = append(out, screen.Wrap(l, width)...)
	}
	return out
}

func (m Model) writeCard(width int) []string {
	title := "Note"
	switch m.mode {
	case asking:
		title = "Why? " + m.happened(m.why[0])
		if n := len(m.why) - 1; n > 0 { // two alike are asked one after the other
			title += fmt.Sprintf(" (%d more after this)", n)
		}
	case deciding:
		title = m.leave.Trouble.Words() + ": it stays so"
	}
	m.input.Width = max(width-4, 10)
	return append(wrapAll([]string{"", m.style(theme.Title, theme.Clean(title)), ""}, width), m.input.View())
}

// finishedCard is the last screen: what was ordered, what differed from it, and what comes next.
func (m Model) finishedCard(width int) []string {
	p := m.state.Plan()
	if m.state.Status() == progress.Abandoned {
		why := "This job is closed."
		if p.Cracked() {
			why = "The frame is cracked; this job is closed."
		}
		return wrapAll([]string{"", m.style(theme.Danger, why), "", "Everything that was done is in the book.", "", m.phases(width)}, width)
	}
	lines := []string{"", m.style(theme.OK, "This racket is strung."), "",
		theme.Clean(p.Frame) + " · " + theme.Clean(p.Technique), p.Terms.Tensions() + ", in " + m.elapsed(), ""}
	if differed := m.differed(); len(differed) > 0 {
		lines = append(lines, "What differed:")
		for _, text := range differed {
			lines = append(lines, m.hang("! ", theme.Warn, theme.Clean(text), width)...)
		}
	} else {
		lines = append(lines, "All was done as planned.")
	}
	return wrapAll(append(lines, "",
		"Tell the player: the tension ordered, what differed, and that the bed softens most on the first day.", "",
		m.style(theme.Quiet, "q leaves. In the rack, which pullcard alone opens, b keeps a reading and the player's word; pullcard ticket prints what goes with it."), "",
		m.phases(width)), width)
}

// differed says in words what was not done as planned: what was left as it is, and each slip and mishap that was put right, the
// newest last; of many the first few.
func (m Model) differed() (out []string) {
	const few = 5
	for _, o := range m.scene.racket.Waived() {
		text := string(o.Strand) + " " + o.Text
		if o.Illegal() {
			text += "; such a bed is not legal in play"
		}
		out = append(out, text)
	}
	events := progress.Explained(m.events)
	put := m.putRight()
	for i, n := range put {
		if i == few {
			return append(out, fmt.Sprintf("and %d more, all in the journal", len(put)-few))
		}
		text := m.happened(n)
		if e := &events[n-1]; e.Why != m.events[n-1].Why {
			text += " (" + strings.TrimPrefix(strings.TrimPrefix(e.Why, m.events[n-1].Why), ": ") + ")"
		}
		ended := plan.PutRight
		if e := &m.events[n-1]; e.Recorded() {
			ended = e.Plan.Steps[e.Step-1].Mishap().Outcome()
		}
		out = append(out, lower(text)+": "+ended)
	}
	return out
}

// putRight are the numbers of the slips and mishaps that were not taken back.
func (m Model) putRight() (numbers []int) {
	s := progress.Start(m.job.Plan)
	for i, e := range m.events {
		before := s
		next, err := s.Apply(e)
		if err != nil {
			return numbers
		}
		switch s = next; {
		case e.Kind == progress.Redo, e.Kind == progress.Mishap:
			numbers = append(numbers, i+1)
		case e.Kind == progress.Back && len(numbers) > 0 && before.Plan() != s.Plan():
			numbers = numbers[:len(numbers)-1]
		}
	}
	return numbers
}
