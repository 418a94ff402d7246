package bench

import (
	"fmt"
	"time"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// Mains that stand long without crosses press the frame out of shape: common practice of the trade is to notice after
// 20 minutes and not to let it go on after 30.
const (
	bareNotice = 20 * time.Minute
	bareAlarm  = 30 * time.Minute
)

// bareSince is the last step that pulled a main when all mains are tight and no cross is, 0 otherwise.
func bareSince(p *plan.Plan, done int) int {
	tight := map[plan.Strand]bool{}
	step := 0
	for i := range p.Steps[:done] {
		for j := range p.Steps[i].Ops {
			switch o := &p.Steps[i].Ops[j]; o.Op {
			case plan.Pull:
				tight[o.Strand] = true
				if o.Strand[0] == 'M' {
					step = i + 1
				}
			case plan.Slacken, plan.Cut:
				delete(tight, o.Strand)
			}
		}
	}
	for _, c := range p.Terms.Crosses {
		if tight[c.Strand] {
			return 0
		}
	}
	for _, m := range p.Terms.Mains {
		if !tight[m.Strand] {
			return 0
		}
	}
	return step
}

// bare says how long the mains have stood without crosses, once that is worth a word.
func (m Model) bare() []string {
	at, ok := m.doneAt[m.scene.bareSince]
	if !ok || m.state.Plan().Cracked() {
		return nil
	}
	d := m.now.Sub(at)
	if d < bareNotice {
		return nil
	}
	role := theme.Warn
	if d >= bareAlarm {
		role = theme.Danger
	}
	return []string{m.style(role, fmt.Sprintf("! mains without crosses for %d min: the frame is out of shape until they are in", int(d.Minutes())))}
}
