package main

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/shop"
)

func machineCompare() *cobra.Command {
	var racket string
	var last int
	c := &cobra.Command{
		Use:   "compare WHICH WHICH [WHICH ...]",
		Short: "Do machines string alike",
		Long: `Compares the readings of the rackets strung on two machines or more, a stringing
each, by one instrument and at one age: the difference in kg of ordered tension
with its interval. Frames and strings that differ are taken into account, and so
is what rackets differ by that were strung repeatedly; with none of that it is
Welch's t. --racket takes only a control racket that was strung on all of them.
An offset is only ever proposed, where the gauge bears it out; a person accepts
it with pullcard book machine correct WHICH --offset ... --accepted NAME.`,
		Args: cobra.MinimumNArgs(2),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			out, err := s.Compare(c.Context(), args, racket, last)
			if err != nil {
				return err
			}
			return reply(c, out, func(w io.Writer) { writeCompared(w, out) })
		}),
	}
	c.Flags().StringVar(&racket, "racket", "", "only this control racket, strung on all the machines")
	c.Flags().IntVar(&last, "last", 400, "look at the newest so many readings of the book; 0 for all")
	return c
}

func writeCompared(w io.Writer, c shop.Compared) {
	level := controlchart.Percent(c.Level)
	fmt.Fprintf(w, "at %.1f kg as ordered, read with %s, %s\n", c.OrderedKg, clean(c.Instrument), clean(c.Age))
	for _, text := range c.Converted {
		fmt.Fprintln(w, clean(text))
	}
	for _, text := range c.LeftOut {
		fmt.Fprintln(w, "left out: "+clean(text))
	}
	if len(c.Factors) > 0 {
		fmt.Fprintf(w, "beside the machine it takes into account what these differ by: %s\n", strings.Join(c.Factors, ", "))
	}
	for _, p := range c.Pairs {
		writePair(w, p, level, len(c.Pairs) > 1)
	}
	if len(c.Pairs) > 1 {
		fmt.Fprintf(w, "%d pairs: %s\n", len(c.Pairs), c.Corrected)
	}
	var spreads []string
	for _, p := range slices.Sorted(maps.Keys(c.SpreadKg)) {
		spreads = append(spreads, fmt.Sprintf("%s %.2f kg", clean(p), c.SpreadKg[p]))
	}
	needed := fmt.Sprintf("it takes %d stringings on each", c.NeededEach)
	if c.NeededEach == 0 {
		needed = "it takes more stringings than anybody reads"
	}
	fmt.Fprintf(w, "one stringing spreads by %s; to see %g kg %s (chance of %.0f %%, false alarm %.0f %%)\n", strings.Join(spreads, ", "),
		controlchart.Worth, needed, 100*controlchart.LowPower, 100*(1-c.Level))
}

// writePair tells a pair.
func writePair(w io.Writer, p shop.ComparedPair, level string, several bool) {
	holm := ""
	if several {
		holm = ", by Holm " + controlchart.Chance(p.Holm)
	}
	fmt.Fprintf(w, "%s, %d stringings, against %s, %d: %+.2f kg as ordered, %s between %+.2f and %+.2f kg (%.1f degrees of freedom, p %s%s)\n", clean(p.A), p.NA, clean(p.B), p.NB,
		p.DifferenceKg, level, p.LowKg, p.HighKg, p.DF, controlchart.Chance(p.P), holm)
	if !p.Apart {
		fmt.Fprintln(w, "  that does not tell them apart")
	}
	if p.Power < controlchart.LowPower {
		fmt.Fprintf(w, "  so few see %g kg with a chance of %.0f %% only\n", controlchart.Worth, 100*p.Power)
	}
	if p.Proposed == nil {
		fmt.Fprintf(w, "  no offset is proposed: %s\n", clean(p.Refused))
		return
	}
	again := ""
	if math.Abs(p.Proposed.OffsetKg) > controlchart.AskTwice {
		again = fmt.Sprintf(" --again %q", fmt.Sprintf("%+.1f kg", p.Proposed.OffsetKg))
	}
	fmt.Fprintf(w, "  proposed: offset %+.1f kg on %s, %s between %+.2f and %+.2f kg (the gauge alone says that it pulls %+.2f kg); a person accepts it with\n"+
		"    pullcard book machine correct %q --offset \"%+.1f kg\"%s --accepted NAME --why \"gauge check\"\n",
		p.Proposed.OffsetKg, clean(p.A), level, p.Proposed.LowKg, p.Proposed.HighKg, p.Proposed.GaugeKg, clean(p.A), p.Proposed.OffsetKg, again)
}
