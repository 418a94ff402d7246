package calc

import (
	"fmt"
	"slices"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// StrandPull is what one strand is pulled at by the plan.
type StrandPull struct {
	Strand patterns.Strand
	MM     float64 // its length inside the hoop
	plan.Tension
	Boost bool // its last pull has the boost
}

// byStrand are the pulls of all strands, the mains from left to right, then the crosses from the head; none where all are
// pulled like their kind.
func (w Work) byStrand(g *grid.Grid) (out []StrandPull) {
	if len(w.Plan.Terms.Pulls) == 0 {
		return nil
	}
	last := w.last()
	for _, l := range slices.Concat(g.Columns, g.Rows) {
		name := plan.Strand(l.Strand.String())
		o := last[name]
		out = append(out, StrandPull{l.Strand, l.MM(), w.Plan.Terms.PullOf(name), o != nil && o.BoostPercent > 0})
	}
	return out
}

// last are the last pulls of the strands.
func (w Work) last() map[plan.Strand]*plan.Op {
	out := map[plan.Strand]*plan.Op{}
	for i := range w.Plan.Steps {
		if o := w.Plan.Steps[i].Pull(); o != nil {
			for _, s := range drawn(o) {
				out[s] = o
			}
		}
	}
	return out
}

// drawn are the strands that a pull draws tight: its own, and one across a loop.
func drawn(o *plan.Op) []plan.Strand {
	if o.Also == "" {
		return []plan.Strand{o.Strand}
	}
	return []plan.Strand{o.Strand, o.Also}
}

// NamedSetting is a setting, what it is for, as "mains, before a knot", and why it is so, as "24 kg ordered, 10 % more for the knot".
type NamedSetting struct {
	What, Why string
	sequence.Setting
}

// Settings are the tensions of the job, each as ordered, as the machine is set, and as a gauge should read. Where strands
// are not pulled like their kind, they are those of the plan's pulls.
func (w Work) Settings() []NamedSetting {
	if len(w.Plan.Terms.Pulls) > 0 {
		return w.settingsByStrand()
	}
	var out []NamedSetting
	add := func(what, why string, t measure.Tension) {
		out = append(out, NamedSetting{what, why, w.Job.Machine.Setting(t)})
	}
	add("mains", "as ordered", w.Job.Mains)
	add("crosses", "as ordered", w.Job.Crosses)
	if boosted := w.Technique.Boost.On(w.Job.Mains); boosted != w.Job.Mains {
		more := func(t measure.Tension) string {
			return fmt.Sprintf("%s ordered, %.3g %% more for the knot", t.Short(), 100*(w.Technique.Boost.On(t).Newtons()/t.Newtons()-1))
		}
		add("mains, before a knot", more(w.Job.Mains), boosted)
		add("crosses, before a knot", more(w.Job.Crosses), w.Technique.Boost.On(w.Job.Crosses))
	}
	return out
}

// settingsByStrand are the plan's pulls in their order; strands that are pulled alike stand together.
func (w Work) settingsByStrand() []NamedSetting {
	var out []NamedSetting
	var strands [][]string
	for i := range w.Plan.Steps {
		o := w.Plan.Steps[i].Pull()
		if o == nil {
			continue
		}
		t, err := measure.ParseTension(o.Tension)
		if err != nil {
			continue // which the referee has not let pass
		}
		at := slices.IndexFunc(out, func(s NamedSetting) bool { return s.Ordered == t })
		if at < 0 {
			at = len(out)
			out, strands = append(out, NamedSetting{"", "strand by strand, as planned", w.Job.Machine.Setting(t)}), append(strands, nil)
		}
		for _, s := range drawn(o) {
			if !slices.Contains(strands[at], string(s)) {
				strands[at] = append(strands[at], string(s))
			}
		}
	}
	for i := range out {
		out[i].What = strings.Join(strands[i], " ")
	}
	return out
}
