package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pullcard/sequence/plan"
	"pullcard/tui/theme"
)

// writeText writes the steps to read at the bench.
func writeText(out io.Writer, w *work) error {
	b := bufio.NewWriter(out)
	p := w.plan
	fmt.Fprintf(b, "%s · %s\n", clean(p.Frame), clean(p.Technique))
	for _, line := range headLines(w) {
		fmt.Fprintln(b, line)
	}
	for _, warning := range allWarnings(w) {
		fmt.Fprintf(b, "! %s\n", clean(warning))
	}
	var phase plan.Phase
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Phase != phase {
			phase = s.Phase
			fmt.Fprintf(b, "\n%s\n", strings.ToUpper(string(phase)))
		}
		fmt.Fprintf(b, "%3d  %s\n", s.N, s.Title)
		for j := range s.Ops {
			fmt.Fprintf(b, "       %s\n", clean(s.Ops[j].Words()))
		}
		if phase == plan.PhaseMains || phase == plan.PhaseCrosses {
			fmt.Fprintf(b, "       → %s\n", grips(s))
		}
		for _, d := range p.Deferred(s.N) {
			fmt.Fprintf(b, "       deferred: %s\n", d)
		}
	}
	return b.Flush()
}

// headLines are the lines that stand above the steps in every print.
func headLines(w *work) []string {
	p := w.plan
	tension := p.Terms.Tensions()
	if p.Terms.PullMains.BoostPercent > 0 && len(p.Terms.Pulls) == 0 {
		tension += fmt.Sprintf("; before a knot %s and %s", p.Terms.PullMains.Boosted, p.Terms.PullCrosses.Boosted)
	}
	lines := []string{}
	if w.job.Player != "" || w.job.Racket != "" {
		lines = append(lines, clean(strings.Trim(w.job.Player+" · "+w.job.Racket, " ·")))
	}
	lines = append(lines, tension)
	if w.job.Machine.Told() {
		lines = append(lines, settingLines(w.numbers().Settings())...)
	}
	return append(lines,
		fmt.Sprintf("plan %s: %d pulls, %d knots, one side ahead by %d at most", p.Plan, p.Totals.Pulls, p.Totals.Knots, p.Totals.MaxLead))
}

func allWarnings(w *work) []string {
	var out []string
	for _, warning := range w.warnings {
		out = append(out, warning.String())
	}
	return append(append(out, w.plan.Warnings...), w.numbers().Cautions()...)
}

// clean makes text from a file harmless on a terminal.
func clean(text string) string { return theme.Clean(text) }
