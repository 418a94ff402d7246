package calc

import (
	"pullcard/patterns/measure"
	"pullcard/sequence/report"
)

// tellRing tells what a frequency in hertz says of the bed, in the job's unit.
func (w Work) tellRing(r *Ring, hz float64) []report.Section {
	var bed report.Section
	in := func(n float64) string { return measure.Newtons(n).To(w.Job.Mains.Unit()).Short() }
	bed.Say("%s, mains %s, crosses %s", w.Plan.Frame, w.Job.Mains, w.Job.Crosses)
	taken := ""
	if r.String != "" {
		taken = " (for " + r.String + ", which is assumed)"
	}
	bed.Say("computed at the ordered tensions without losses: %.0f Hz%s", r.ComputedHz, taken)
	bed.Say("the tap is %s %% from that", measure.Signed((hz/r.ComputedHz-1)*100, 1))
	s := report.Section{Head: "ASSUMED"}
	s.Say("mean tension in the bed %s (%.0f N); ordered was %s in the mean", in(r.MeanN), r.MeanN, in(r.OrderedN))
	s.Say("  from %.1f cm² and %.3f g/m, T = 4·m·L·f² with L = √area (Cross 2006): mains and crosses alike,", r.AreaCM2, r.GramsPerMetre)
	s.Say("  the bed about as long as wide, no stiffness of the strings, no damper")
	s.Say("by the computed bed it rings as if it had kept %.0f %% of the ordered tensions", r.KeptPercent)
	if r.Left != "" {
		s.Say("with the tensions left %s, %g %% less in the mean, it would ring at %.0f Hz (%s)", r.Left, r.Loss.Percent, r.LossHz, r.Loss.Source)
	} else {
		s.Say("with the usual loss of %g %% after stringing it would ring at %.0f Hz (%s)", r.Loss.Percent, r.LossHz, r.Loss.Source)
	}
	return []report.Section{bed, s, TellTaken(r.Taken)}
}
