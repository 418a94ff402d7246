package bench

import (
	"fmt"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/schedule"
	"pullcard/tui/theme"
)

// Mains that stand long without crosses press the frame out of shape: common practice of the trade is to notice after
// 20 minutes and not to let it go on after 30.
const (
	bareNotice = 20 * time.Minute
	bareAlarm  = 30 * time.Minute
)

// tickMsg moves the elapsed minutes on.
type tickMsg time.Time

// tick comes every minute, so that nothing is painted by the second.
func tick() tea.Cmd {
	return tea.Every(time.Minute, func(t time.Time) tea.Msg { return tickMsg(t) })
}

func (msg tickMsg) to(m Model) (Model, tea.Cmd) {
	before := m.bareFor()
	m.now = time.Time(msg)
	return m, tea.Batch(tick(), m.rung(before < bareNotice && m.bareFor() >= bareNotice || before < bareAlarm && m.bareFor() >= bareAlarm))
}

// remember keeps events and since when the mains have stood without crosses.
func (m *Model) remember(e ...progress.Event) {
	past, err := progress.Play(m.job.Plan, append(slices.Clip(m.past.Events), e...))
	if err != nil {
		return // the state took the same events
	}
	w, _ := schedule.Measure(past, schedule.UsualPause)
	m.past, m.bareSince = past, w.Bare
}

// pulled notes when the first main was pulled, and forgets it when none is tight any more; now is the racket as it is since at.
func (m *Model) pulled(now *plan.Racket, at time.Time) {
	tight := slices.ContainsFunc(now.Spans(), func(s plan.Span) bool { return s.Strand.IsMain() && s.Tight })
	switch {
	case !tight:
		m.firstMain = time.Time{}
	case m.firstMain.IsZero():
		m.firstMain = at
	}
}

// times keeps when the first main was pulled after an event.
func (m *Model) times(e progress.Event) {
	if e.Kind == progress.Back {
		m.recall(m.job.Plan, m.past.Events)
		return
	}
	m.pulled(m.scene.racket, e.At)
}

// recall finds out when the first main was pulled in events that are known already; what was taken back has not happened.
func (m *Model) recall(first *plan.Plan, events []progress.Event) {
	var stand []progress.Event
	for _, e := range events {
		switch e.Kind {
		case progress.Note, progress.Why, progress.Resume:
		case progress.Back:
			stand = stand[:max(len(stand)-1, 0)]
		default:
			stand = append(stand, e)
		}
	}
	m.firstMain = time.Time{}
	s, r := progress.Start(first), plan.NewRacket(&first.Terms)
	for _, e := range stand {
		last := s.Last()
		next, err := s.Apply(e)
		if err != nil {
			return
		}
		if s = next; e.Kind == progress.Done && s.Last() == last+1 {
			_ = r.ApplyAll(s.Plan().Steps[last].Ops)
		} else {
			r = s.Racket()
		}
		m.pulled(r, e.At)
	}
}

// mainsFor is how long ago the first main was pulled while crosses are missing, less than nought otherwise.
func (m Model) mainsFor() time.Duration {
	missing := slices.ContainsFunc(m.scene.racket.Spans(), func(s plan.Span) bool { return s.Strand.IsCross() && !s.Tight })
	if m.firstMain.IsZero() || !missing || m.state.Plan().Cracked() || m.state.Status() != progress.Open {
		return -1
	}
	return m.gone(m.firstMain)
}

// bareFor is how long the mains have stood without crosses, nought when they do not.
func (m Model) bareFor() time.Duration {
	if m.bareSince.IsZero() || m.state.Plan().Cracked() || m.state.Status() != progress.Open {
		return 0
	}
	return m.gone(m.bareSince)
}

// gone is how much time went by since an event, up to the last one where the work has ended. Where a clock was set back between two
// events no time has.
func (m Model) gone(at time.Time) (d time.Duration) {
	from := slices.IndexFunc(m.past.Events, func(e progress.Event) bool { return e.At.Equal(at) })
	for _, e := range m.past.Events[max(from, 0):] {
		d += max(e.At.Sub(at), 0)
		at = e.At
	}
	if m.state.Status() == progress.Open {
		d += max(m.now.Sub(at), 0)
	}
	return d
}

// bare says how long the mains have stood without crosses, once that is worth a word.
func (m Model) bare() []string {
	d := m.bareFor()
	if d < bareNotice {
		return nil
	}
	role := theme.Warn
	if d >= bareAlarm {
		role = theme.Danger
	}
	return []string{m.style(role, fmt.Sprintf("! mains without crosses for %d min: the frame is out of shape until they are in", int(d.Minutes())))}
}
