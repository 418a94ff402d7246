package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"pullcard/patterns/measure"
	"pullcard/patterns/mechanics"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
	"pullcard/sequence/shop"
)

// writeBed writes what the bed will be; other is the name of the layout that is to feel the same.
func writeBed(out io.Writer, w *shop.Work, b *calc.Bed, other string) error {
	buf := bufio.NewWriter(out)
	writeGrid(buf, w, b.Grid)
	for _, doubt := range b.Doubts {
		fmt.Fprintf(buf, "! %s\n", clean(doubt))
	}
	fmt.Fprintln(buf, "\nTENSION")
	writeSettings(buf, w, b.Settings)
	fmt.Fprintln(buf, "\nBED at the ordered tensions without losses, small deflections")
	fmt.Fprintf(buf, "stiffness  %s, on the crossing nearest the middle\n", stiffnessWords(b.Figures.Stiffness))
	if b.Assumed.String == "" {
		fmt.Fprintf(buf, "rings at   %s\n", hertz(b.Figures.Hz))
	} else {
		fmt.Fprintln(buf, "rings at   see below: the job does not tell its string")
	}
	writeChoices(buf, b.Choices)
	writeLoads(buf, b.Loads)
	writeByStrand(buf, b.ByStrand)
	writeAssumed(buf, b)
	if b.Feel != nil {
		writeFeel(buf, w, b, other)
	}
	return buf.Flush()
}

// writeSettings writes each tension three times: ordered, set, read.
func writeSettings(out io.Writer, w *shop.Work, settings []calc.NamedSetting) {
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\tordered\tmachine set to\tgauge should read")
	for _, s := range settings {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", s.What, s.Ordered, s.Set.Short(), s.Gauge.Short())
	}
	t.Flush()
	m := w.Job.Machine
	switch {
	case !m.GaugeSet.IsZero() && m.Exact():
		fmt.Fprintln(out, "the gauge read what the machine was set to, so all three are the same")
	case m.Exact():
		fmt.Fprintln(out, "the job tells no offset of the machine, so all three are the same")
	}
	for _, caution := range m.Cautions(w.Job.Mains, w.Job.Crosses) {
		fmt.Fprintf(out, "! %s\n", clean(caution))
	}
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

func writeChoices(out io.Writer, choices []mechanics.Choice) {
	fmt.Fprintln(out, "\nWHAT EACH CHOICE DOES")
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "stiffness\tchange\tunder a ball *\tchange\tlowest frequency\tchange\t")
	var reasons []string
	for i, c := range choices {
		switch {
		case c.Why != "":
			fmt.Fprintf(t, "-\t-\t-\t-\t-\t-\t  %s\n", clean(c.What))
			reason, _, _ := strings.Cut(c.Why, "\n")
			reasons = append(reasons, c.What+": "+reason)
		case i == 0:
			fmt.Fprintf(t, "%.1f N/mm\t\t%.1f N/mm\t\t%.0f Hz\t\t  %s\n", float64(c.Stiffness), float64(c.Loaded), c.Hz[0], c.What)
		default:
			fmt.Fprintf(t, "%.1f N/mm\t%+.1f %%\t%.1f N/mm\t%+.1f %%\t%.0f Hz\t%+.1f %%\t  %s\n",
				float64(c.Stiffness), c.StiffnessPercent, float64(c.Loaded), c.LoadedPercent, c.Hz[0], c.HzPercent, clean(c.What))
		}
	}
	t.Flush()
	fmt.Fprintln(out, "* rests on what is assumed, see below")
	for _, r := range reasons {
		fmt.Fprintf(out, "- %s\n", clean(r))
	}
}

// writeFeel writes how to string the other layout, in the job's unit.
func writeFeel(out io.Writer, w *shop.Work, b *calc.Bed, other string) {
	unit := w.Job.Mains.Unit()
	in := func(newtons float64) string { return measure.Newtons(newtons).To(unit).Short() }
	f := b.Feel
	fmt.Fprintf(out, "\nSAME FEEL in %s, without boosts: as stiff under that ball, which rests on what is assumed\n", clean(other))
	fmt.Fprintf(out, "mains %s, crosses %s   by the net, %.1f N/mm; ± %s as far as strings and friction are known, about a 95 %% interval\n",
		in(f.ByNet.MainsN), in(f.ByNet.CrossesN), float64(f.Wanted), in(f.PlusMinus.MainsN))
	fmt.Fprintf(out, "  a product is up to %g times as stiff or soft as its material usually is, in both frames alike\n", mechanics.Spread)
	fmt.Fprintf(out, "mains %s, crosses %s   tension over length kept (Brody 1987), which gives %.1f N/mm\n", in(f.ByLength.MainsN), in(f.ByLength.CrossesN), float64(f.AtLength))
}

func writeLoads(out io.Writer, l plan.Loads) {
	fmt.Fprintln(out, "\nLOADS WHILE STRINGING")
	side := map[string]string{"L": "left", "R": "right"}[l.PeakSide]
	fmt.Fprintf(out, "the %s mains pull harder than the others by %.0f N at most, after step %d\n", side, l.PeakSideNewtons, l.PeakSideStep)
	fmt.Fprintf(out, "mains without crosses press head and throat together with up to %.0f N, over %d steps\n", l.MainsAloneNewtons, l.MainsAloneSteps)
}

// writeAssumed writes apart what rests on assumptions.
func writeAssumed(out io.Writer, b *calc.Bed) {
	a := b.Assumed
	fmt.Fprintln(out, "\nASSUMED")
	if a.String != "" {
		fmt.Fprintf(out, "string: %s, because the job does not tell it; so it rings at %s without losses\n", a.String, hertz(b.Figures.Hz))
	}
	fmt.Fprintf(out, "loss: %g %% of the tension between the pull and the strung bed (%s)\n", a.Loss.Percent, a.Loss.Source)
	fmt.Fprintf(out, "  then  %s, rings at %s\n", stiffnessWords(a.Figures.Stiffness), hertz(a.Figures.Hz))
	fmt.Fprintf(out, "ball: %.0f N in the middle on a patch of %.0f mm radius; strings stretch as their material usually does, and at their\n", a.Ball.ForceN, a.Ball.RadiusMM)
	fmt.Fprintln(out, "crossings they slide or are locked by friction; a bed lies between the two")
	fmt.Fprintf(out, "  then  %.1f N/mm sliding, %.1f N/mm locked; it sinks in %.1f mm; with the loss %.1f and %.1f N/mm\n",
		float64(a.Loaded.Free), float64(a.Loaded.Locked), a.Loaded.DeflectionMM, float64(a.LoadedStrung.Free), float64(a.LoadedStrung.Locked))
	fmt.Fprintln(out, "as the force grows, sliding, without the loss")
	for _, p := range a.Curve {
		fmt.Fprintf(out, "  %4.0f N  %4.1f mm, %.1f N/mm, the hardest string at %.0f N\n", p.ForceN, p.DeflectionMM, float64(p.Secant), p.HighestN)
	}
}
