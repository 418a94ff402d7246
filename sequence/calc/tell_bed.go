package calc

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"pullcard/patterns/grid"
	"pullcard/patterns/harmless"
	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/report"
)

// TellBed tells what a bed will be; other is the name of the layout that is to feel the same.
func (w Work) TellBed(b *Bed, other string) []report.Section {
	where := w.where(b.Grid)
	where.Warn(b.Doubts...)
	bed := report.Section{Head: "BED at the ordered tensions without losses, small deflections"}
	bed.Say("stiffness  %s, on the crossing nearest the middle", stiffnessWords(b.Figures.Stiffness))
	if b.Assumed.String == "" {
		bed.Say("rings at   %s", hertz(b.Figures.Hz))
	} else {
		bed.Say("rings at   see below: the job does not tell its string")
	}
	out := []report.Section{where, w.tensions(b.Settings), bed, tellChoices(b.Choices), b.loads()}
	out = append(out, tellStrands(b.ByStrand), b.assumptions(), TellTaken(b.Assumed.Taken))
	if b.Feel != nil {
		out = append(out, w.feel(b, other))
	}
	return out
}

// where tells where the strings lie.
func (w Work) where(g *grid.Grid) (s report.Section) {
	h := w.Frame.Hoop
	shape := ""
	if h.Exponent != 2 {
		shape = fmt.Sprintf(", shape %g", h.Exponent)
	}
	s.Say("%s · %s", w.Plan.Frame, w.Plan.Technique)
	s.Say("%d × %d on %g × %g mm%s, %.1f cm² (%.1f in²)", len(g.Columns), len(g.Rows), h.LengthMM, h.WidthMM, shape, g.AreaCM2(), g.AreaIn2())
	measured := func(is float64) string {
		if is > 0 {
			return " as measured"
		}
		return ""
	}
	mains, crosses := g.Density()
	s.Say("mains %.1f mm apart%s, crosses %.1f mm%s", g.MainPitchMM, measured(w.Frame.Measured.MainPitchMM), g.CrossPitchMM, measured(w.Frame.Measured.CrossPitchMM))
	s.Say("in the centre %.1f and %.1f mm, at the edges %.1f and %.1f mm", mains.CentreMM, crosses.CentreMM, mains.EdgeMM, crosses.EdgeMM)
	if far, ok := Farthest(g); ok {
		s.Say("%d ends of %d lie off the even grid, %s at %s the farthest: %.1f mm",
			len(g.Departures), 2*(len(g.Columns)+len(g.Rows)), far.Strand, w.Frame.HoleName(far.Hole), far.MM)
	}
	return s
}

// tensions tells each tension three times, as pulled, set and read.
func (w Work) tensions(settings []NamedSetting) report.Section {
	s := report.Section{Head: "TENSION"}
	rows := []string{"\tpull at\tmachine set to\tgauge should read"}
	for _, t := range settings {
		rows = append(rows, fmt.Sprintf("%s\t%s\t%s\t%s", t.What, t.Ordered, t.Set.Short(), t.Gauge.Short()))
	}
	s.Table(0, rows...)
	switch m := w.Job.Machine; {
	case !m.GaugeSet.IsZero() && m.Exact():
		s.Say("the gauge read what the machine was set to, so all three are the same")
	case m.Exact():
		s.Say("the job tells no offset of the machine, so all three are the same")
	}
	s.Warn(w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)...)
	return s
}

func stiffnessWords(s mechanics.Stiffness) string {
	return fmt.Sprintf("%.1f N/mm, %.1f kgf/cm, %.0f lbf/in", float64(s), s.KgfPerCm(), s.LbfPerIn())
}

func hertz(hz []float64) string {
	words := make([]string, len(hz))
	for i, f := range hz {
		words[i] = fmt.Sprintf("%.0f", f)
	}
	return strings.Join(words, ", ") + " Hz"
}

func tellChoices(choices []mechanics.Choice) report.Section {
	s := report.Section{Head: "WHAT EACH CHOICE DOES"}
	rows := []string{"stiffness\tchange\tunder a ball *\tchange\tlowest frequency\tchange\t"}
	var reasons []string
	for i, c := range choices {
		what := harmless.Text(c.What)
		switch {
		case c.Why != "":
			rows = append(rows, "-\t-\t-\t-\t-\t-\t  "+what)
			reason, _, _ := strings.Cut(c.Why, "\n")
			reasons = append(reasons, "- "+c.What+": "+reason)
		case i == 0:
			rows = append(rows, fmt.Sprintf("%.1f N/mm\t\t%.1f N/mm\t\t%.0f Hz\t\t  %s", float64(c.Stiffness), float64(c.Loaded), c.Hz[0], what))
		default:
			rows = append(rows, fmt.Sprintf("%.1f N/mm\t%s %%\t%.1f N/mm\t%s %%\t%.0f Hz\t%s %%\t  %s",
				float64(c.Stiffness), measure.Signed(c.StiffnessPercent, 1), float64(c.Loaded), measure.Signed(c.LoadedPercent, 1), c.Hz[0], measure.Signed(c.HzPercent, 1), what))
		}
	}
	s.Table(tabwriter.AlignRight, rows...)
	s.Add(append([]string{"* rests on what is assumed, see below"}, reasons...)...)
	return s
}

// feel tells how to string the other layout, in the job's unit.
func (w Work) feel(b *Bed, other string) report.Section {
	in := func(newtons float64) string { return measure.Newtons(newtons).To(w.Job.Mains.Unit()).Short() }
	f := b.Feel
	s := report.Section{Head: fmt.Sprintf("SAME FEEL in %s, without boosts: as stiff under that ball, which rests on what is assumed", other)}
	s.Say("mains %s, crosses %s   by the net, %.1f N/mm; ± %s as far as strings and friction are known, about a 95 %% interval",
		in(f.ByNet.MainsN), in(f.ByNet.CrossesN), float64(f.Wanted), in(f.PlusMinus.MainsN))
	s.Say("  a product is up to %g times as stiff or soft as its material usually is, in both frames alike", mechanics.Spread)
	s.Say("mains %s, crosses %s   tension over length kept (Brody 1987), which gives %.1f N/mm", in(f.ByLength.MainsN), in(f.ByLength.CrossesN), float64(f.AtLength))
	return s
}

func (b *Bed) loads() report.Section {
	s, l := report.Section{Head: "LOADS WHILE STRINGING"}, b.Loads
	side := map[string]string{"L": "left", "R": "right"}[l.PeakSide]
	s.Say("the %s mains pull harder than the others by %.0f N at most, after step %d", side, l.PeakSideNewtons, l.PeakSideStep)
	s.Say("mains without crosses press head and throat together with up to %.0f N, over %d steps", l.MainsAloneNewtons, l.MainsAloneSteps)
	return s
}

// assumptions tells apart what rests on assumptions.
func (b *Bed) assumptions() report.Section {
	s, a := report.Section{Head: "ASSUMED"}, b.Assumed
	if a.String != "" {
		s.Say("string: %s, because the job does not tell it; so it rings at %s without losses", a.String, hertz(b.Figures.Hz))
	}
	s.Say("loss: %g %% of the tension between the pull and the strung bed (%s)", a.Loss.Percent, a.Loss.Source)
	s.Say("  then  %s, rings at %s", stiffnessWords(a.Figures.Stiffness), hertz(a.Figures.Hz))
	s.Say("ball: %.0f N in the middle on a patch of %.0f mm radius; strings stretch as their material usually does, and at their", a.Ball.ForceN, a.Ball.RadiusMM)
	s.Say("crossings they slide or are locked by friction; a bed lies between the two")
	s.Say("  then  %.1f N/mm sliding, %.1f N/mm locked; it sinks in %.1f mm; with the loss %.1f and %.1f N/mm",
		float64(a.Loaded.Free), float64(a.Loaded.Locked), a.Loaded.DeflectionMM, float64(a.LoadedStrung.Free), float64(a.LoadedStrung.Locked))
	s.Say("as the force grows, sliding, without the loss")
	for _, p := range a.Curve {
		s.Say("  %4.0f N  %4.1f mm, %.1f N/mm, the hardest string at %.0f N", p.ForceN, p.DeflectionMM, float64(p.Secant), p.HighestN)
	}
	return s
}
