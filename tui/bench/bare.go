package bench

import (
	"fmt"
	"time"

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

// remember keeps an event and since when the mains have stood without crosses.
func (m *Model) remember(e ...progress.Event) {
	m.events = append(m.events[:len(m.events):len(m.events)], e...)
	m.bareSince = time.Time{}
	if w, err := schedule.Measure(m.job.Plan, m.events, schedule.UsualPause); err == nil { // the state took the same events
		m.bareSince = w.Bare
	}
}

// bareFor is how long the mains have stood without crosses, nought when they do not.
func (m Model) bareFor() time.Duration {
	if m.bareSince.IsZero() || m.state.Plan().Cracked() || m.state.Status() != progress.Open {
		return 0
	}
	return m.now.Sub(m.bareSince)
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
