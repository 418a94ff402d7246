package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence/book"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// compared is what two machines' readings say of each other, in kg of tension in the bed.
type compared struct {
	A            string   `json:"a"`
	B            string   `json:"b"`
	NA           int      `json:"n_a"`
	NB           int      `json:"n_b"`
	OrderedKg    float64  `json:"ordered_kg"`
	DifferenceKg float64  `json:"difference_kg"`
	LowKg        float64  `json:"low_kg"`
	HighKg       float64  `json:"high_kg"`
	Level        float64  `json:"level"`
	T            float64  `json:"t"`
	DF           float64  `json:"df"`
	P            float64  `json:"p"`
	SDKg         float64  `json:"sd_kg"`
	Apart        bool     `json:"apart"`
	NeededEach   int      `json:"needed_for_0.2_kg"`
	OffsetKg     *float64 `json:"proposed_offset_kg,omitempty"`
	GaugeKg      *float64 `json:"gauge_kg,omitempty"`
	Refused      string   `json:"refused,omitempty"`
}

// gaugeDays is how old a gauge check may be: this program's own choice. Daily is common practice; a week still says
// something of the machine.
const gaugeDays = 7

func machineCompare() *cobra.Command {
	var racket string
	var last int
	c := &cobra.Command{
		Use:   "compare WHICH WHICH",
		Short: "Do two machines string alike",
		Long: `Compares the readings of the rackets strung on two machines, each against what its
bed computes to: the difference in kg of tension in the bed with its interval
(Welch's t), and how many readings it takes to see 0.2 kg. --racket takes only a
control racket that was strung on both. An offset is only ever proposed, after a
gauge check of both machines; a person accepts it with
pullcard book machine correct WHICH --offset ... --accepted NAME.`,
		Args: cobra.ExactArgs(2),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				out, err := s.compare(args[0], args[1], racket, last)
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
	c.Flags().StringVar(&racket, "racket", "", "only this control racket, strung on both machines")
	c.Flags().IntVar(&last, "last", 100, "the newest so many readings of each machine; 0 for all")
	return c
}

// compare compares two machines.
func (s *shop) compare(a, b, racket string, last int) (compared, error) {
	var of records.Job
	if racket != "" {
		r, err := s.book.One(s.ctx, records.KindRacket, racket)
		if err != nil {
			return compared{}, err
		}
		of.Racket = r.UID
	}
	var machines [2]book.Record
	var sets [2]series
	for i, asked := range []string{a, b} {
		var err error
		if machines[i], err = s.book.One(s.ctx, records.KindMachine, asked); err != nil {
			return compared{}, err
		}
		of.Machine = machines[i].UID
		if sets[i], err = s.series(of, "", last); err != nil {
			return compared{}, err
		}
	}
	if machines[0].UID == machines[1].UID {
		return compared{}, errors.New("these are one machine; name two")
	}
	sa, lastA, errA := sets[0].sample()
	sb, lastB, errB := sets[1].sample()
	for i, err := range []error{errA, errB} {
		if err != nil {
			return compared{}, fmt.Errorf("%s: %w", machines[i].Label(), err)
		}
	}
	both := series{taken: append(append([]book.Taken{}, sets[0].taken...), sets[1].taken...)}
	ratio, err := controlchart.Compare(sa, sb, 0.95)
	if err != nil {
		return compared{}, err
	}
	kg := ratio.At(both.orderedKg())
	sd := math.Sqrt((kg.A.SD*kg.A.SD + kg.B.SD*kg.B.SD) / 2)
	needed, err := controlchart.Needed(0.2, sd, 0.05, 0.8)
	if err != nil {
		return compared{}, err
	}
	out := compared{A: machines[0].Label(), B: machines[1].Label(), NA: sa.N, NB: sb.N, OrderedKg: kg.OrderedKg, DifferenceKg: kg.Difference, LowKg: kg.Low,
		HighKg: kg.High, Level: kg.Level, T: kg.T, DF: kg.DF, P: kg.P, SDKg: sd, Apart: kg.Apart(), NeededEach: needed}
	return out, s.propose(&out, kg, machines, latest(lastA, lastB))
}

func latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// propose adds what offset the readings and the gauge bear out, or why none.
func (s *shop) propose(out *compared, kg controlchart.Comparison, machines [2]book.Record, last time.Time) error {
	e := controlchart.Evidence{Readings: kg, Machine: machines[0].Label(), Against: machines[1].Label(), Last: last, Within: gaugeDays * 24 * time.Hour}
	for _, m := range machines {
		checks, err := s.book.Of(s.ctx, records.KindGauge, m.UID)
		if err != nil {
			return err
		}
		for _, c := range checks {
			check := records.As[records.Gauge](c.Fields)
			set, err := measure.ParseTension(check.Set)
			if err != nil {
				return err
			}
			read, err := measure.ParseTension(check.Read)
			if err != nil {
				return err
			}
			e.Checks = append(e.Checks, controlchart.Check{Machine: m.Label(), At: c.At, SetN: set.Newtons(), ReadN: read.Newtons()})
		}
	}
	p, err := controlchart.Propose(e)
	if refusal := (controlchart.Refusal{}); errors.As(err, &refusal) {
		out.Refused = refusal.Error()
		return nil
	}
	if err != nil {
		return err
	}
	// A machine whose beds come out tighter is set lower.
	offset := -p.OffsetKg
	out.OffsetKg, out.GaugeKg = &offset, &p.GaugeKg
	return nil
}

func (c compared) write(w io.Writer) error {
	fmt.Fprintf(w, "%s, %d readings, against %s, %d readings, at %.1f kg as ordered\n", clean(c.A), c.NA, clean(c.B), c.NB, c.OrderedKg)
	fmt.Fprintf(w, "difference %+.2f kg in the bed, %.0f %% between %+.2f and %+.2f kg (Welch's t = %.2f, %.1f degrees of freedom, p = %.3f)\n",
		c.DifferenceKg, c.Level*100, c.LowKg, c.HighKg, c.T, c.DF, c.P)
	if !c.Apart {
		fmt.Fprintln(w, "that does not tell them apart")
	}
	fmt.Fprintf(w, "the readings of one machine spread by %.2f kg; to see 0.2 kg it takes %d readings on each (chance of 80 %%, false alarm 5 %%)\n", c.SDKg, c.NeededEach)
	if c.OffsetKg == nil {
		_, err := fmt.Fprintf(w, "no offset is proposed: %s\n", clean(c.Refused))
		return err
	}
	_, err := fmt.Fprintf(w, "proposed: offset %+.1f kg on %s (the gauge says %+.2f kg); a person accepts it with\n  pullcard book machine correct %q --offset \"%+.1f kg\" --accepted NAME --why \"gauge check\"\n",
		*c.OffsetKg, clean(c.A), *c.GaugeKg, clean(c.A), *c.OffsetKg)
	return err
}
