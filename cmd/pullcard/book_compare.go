package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// comparedFile is what machines' readings say of each other, in kg of ordered tension.
type comparedFile struct {
	Pairs      []pairFile         `json:"pairs"`
	OrderedKg  float64            `json:"ordered_kg"`
	Level      float64            `json:"level"`
	Corrected  string             `json:"corrected"`
	Instrument string             `json:"instrument"`
	Converted  []string           `json:"converted,omitempty"`
	Age        string             `json:"age"`
	Factors    []string           `json:"factors"`
	LeftOut    []string           `json:"left_out"`
	SpreadKg   map[string]float64 `json:"spread_kg"`
	NeededEach int                `json:"needed_for_0.5_kg"`
}

// pairFile is one machine against another.
type pairFile struct {
	A            string        `json:"a"`
	B            string        `json:"b"`
	NA           int           `json:"n_a"`
	NB           int           `json:"n_b"`
	DifferenceKg float64       `json:"difference_kg"`
	LowKg        float64       `json:"low_kg"`
	HighKg       float64       `json:"high_kg"`
	DF           float64       `json:"df"`
	P            float64       `json:"p"`
	Holm         float64       `json:"p_holm"`
	Power        float64       `json:"power_for_0.5_kg"`
	Apart        bool          `json:"apart"`
	Proposed     *proposedFile `json:"proposed,omitempty"`
	Refused      string        `json:"refused,omitempty"`
}

// proposedFile is an offset for a person to accept.
type proposedFile struct {
	Machine  string  `json:"machine"`
	OffsetKg float64 `json:"offset_kg"`
	LowKg    float64 `json:"low_kg"`
	HighKg   float64 `json:"high_kg"`
	GaugeKg  float64 `json:"gauge_kg"`
}

// gaugeDays is how old a gauge check may be: this program's own choice. Daily is common practice; a week still says
// something of the machine.
const gaugeDays = 7

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
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				out, err := s.compare(args, racket, last)
				if err != nil {
					return err
				}
				if asJSON, _ := c.Flags().GetBool("json"); asJSON {
					return writeJSON(c.OutOrStdout(), out)
				}
				return out.write(c.OutOrStdout())
			})
		}),
	}
	c.Flags().StringVar(&racket, "racket", "", "only this control racket, strung on all the machines")
	c.Flags().IntVar(&last, "last", 400, "look at the newest so many readings of the book; 0 for all")
	return c
}

// compare compares machines.
func (s *shop) compare(asked []string, racket string, last int) (comparedFile, error) {
	out := comparedFile{Level: 0.95, Pairs: []pairFile{}}
	var machines []book.Record
	var names []string
	for _, a := range asked {
		r, err := s.book.One(s.ctx, records.KindMachine, a)
		if err != nil {
			return out, err
		}
		if slices.Contains(names, r.Label()) {
			return out, errors.New("these are one machine; name two")
		}
		machines, names = append(machines, r), append(names, r.Label())
	}
	of, err := s.series(records.Job{}, "", last)
	if err != nil {
		return out, err
	}
	decay := of.decay()
	if racket != "" {
		r, err := s.book.One(s.ctx, records.KindRacket, racket)
		if err != nil {
			return out, err
		}
		of = of.only(records.Job{Racket: r.UID})
	}
	c, err := controlchart.Compare(controlchart.Question{Machines: names, Stringings: of.stringings, Decay: decay, Level: out.Level})
	if err != nil {
		return out, err
	}
	out.fill(c, of.orderedKg(names))
	gauge, err := s.gauge(machines, of, out.OrderedKg)
	if err != nil {
		return out, err
	}
	for i, p := range c.Pairs {
		out.Pairs[i].propose(p, gauge)
	}
	return out, nil
}

// fill tells a comparison in kg.
func (out *comparedFile) fill(c *controlchart.Comparison, orderedKg float64) {
	out.OrderedKg, out.Instrument, out.Age = orderedKg, c.Instrument, c.Age
	out.Factors, out.LeftOut = append([]string{}, c.Factors...), append([]string{}, c.LeftOut...)
	for _, v := range c.Conversions {
		out.Converted = append(out.Converted, v.String())
	}
	out.Corrected = "not needed"
	if len(c.Pairs) > 1 {
		out.Corrected = "p by Holm; the intervals are not corrected"
	}
	out.SpreadKg = map[string]float64{}
	for name, spread := range c.Spread {
		out.SpreadKg[name] = spread * orderedKg
	}
	// Where it would take too many to count, it says nothing.
	out.NeededEach, _ = controlchart.Needed(controlchart.Worth, c.Ordinary()*orderedKg, 1-out.Level, controlchart.LowPower)
	for _, p := range c.Pairs {
		out.Pairs = append(out.Pairs, pairFile{A: p.A, B: p.B, NA: p.NA, NB: p.NB, DifferenceKg: p.At(p.Value, orderedKg), LowKg: p.At(p.Low(), orderedKg),
			HighKg: p.At(p.High(), orderedKg), DF: p.DF, P: p.P(), Holm: p.Holm, Power: p.Power(math.Log1p(controlchart.Worth / orderedKg)), Apart: p.Apart()})
	}
}

// gauge is what the gauge checks of some machines say at a tension.
func (s *shop) gauge(machines []book.Record, of series, orderedKg float64) (controlchart.Gauge, error) {
	g := controlchart.Gauge{SDN: controlchart.GaugeSD, OrderedKg: orderedKg, Within: gaugeDays * 24 * time.Hour, Level: 0.95}
	for _, r := range of.stringings {
		if slices.ContainsFunc(machines, func(m book.Record) bool { return m.Label() == r.Machine }) && r.At.After(g.Last) {
			g.Last = r.At
		}
	}
	for _, m := range machines {
		checks, err := s.book.Of(s.ctx, records.KindGauge, m.UID)
		if err != nil {
			return g, err
		}
		for _, c := range checks {
			check := records.As[records.Gauge](c.Fields)
			set, err := measure.ParseTension(check.Set)
			if err != nil {
				return g, err
			}
			read, err := measure.ParseTension(check.Read)
			if err != nil {
				return g, err
			}
			g.Checks = append(g.Checks, controlchart.Check{Machine: m.Label(), At: c.At, SetN: set.Newtons(), ReadN: read.Newtons()})
		}
	}
	return g, nil
}

// propose adds what offset the readings and the gauge bear out, or why none.
func (out *pairFile) propose(p controlchart.Pair, g controlchart.Gauge) {
	got, err := controlchart.Propose(p, g)
	if err != nil {
		out.Refused = err.Error()
		return
	}
	offset, low, high := got.OffsetKg()
	out.Proposed = &proposedFile{p.A, offset, low, high, p.At(got.Gauge.Value, g.OrderedKg)}
}

func (c comparedFile) write(w io.Writer) error {
	level := controlchart.Percent(c.Level)
	fmt.Fprintf(w, "at %.1f kg as ordered, read with %s, %s\n", c.OrderedKg, clean(c.Instrument), clean(c.Age))
	for _, text := range append(c.Converted, c.leftOut()...) {
		fmt.Fprintln(w, clean(text))
	}
	if len(c.Factors) > 0 {
		fmt.Fprintf(w, "beside the machine it takes into account what these differ by: %s\n", strings.Join(c.Factors, ", "))
	}
	for _, p := range c.Pairs {
		p.write(w, level, len(c.Pairs) > 1)
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
	_, err := fmt.Fprintf(w, "one stringing spreads by %s; to see %g kg %s (chance of %.0f %%, false alarm %.0f %%)\n", strings.Join(spreads, ", "),
		controlchart.Worth, needed, 100*controlchart.LowPower, 100*(1-c.Level))
	return err
}

func (c comparedFile) leftOut() []string {
	out := make([]string, len(c.LeftOut))
	for i, text := range c.LeftOut {
		out[i] = "left out: " + text
	}
	return out
}

// write tells a pair.
func (p pairFile) write(w io.Writer, level string, several bool) {
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
