package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/sequence/controlchart"
	"pullcard/sequence/shop"
)

// chartFlags are the choices of the command.
type chartFlags struct {
	machine, stringer, from, with, unit, svg string
	last                                     int
	ascii                                    bool
}

func bookChart() *cobra.Command {
	var f chartFlags
	c := &cobra.Command{
		Use:   "chart",
		Short: "Are the rackets alike: a control chart of the readings",
		Long: `Draws the readings of one instrument, one a stringing, each as the share of the
ordered tension that its bed computes to have, so that rackets of different
kinds compare: 1 is the computed bed without losses. They are brought to one age
by the usual decay of their material. Limits come from a first period, the
baseline, and judge what came later: each stringing and the EWMA (+). What alarms
is marked, and what changed there is told. pullcard book baseline add decides on
a period; until then it is the first 20 stringings.`,
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			having, title, err := s.Having(c.Context(), f.machine, f.stringer, f.from)
			if err != nil {
				return err
			}
			title = clean(title)
			of, err := s.Series(c.Context(), having, f.unit, 0)
			if err != nil {
				return err
			}
			shown, err := s.Chart(c.Context(), of, having, f.with, f.last)
			if err != nil {
				return fmt.Errorf("%s: %w; pullcard book reading add keeps one", title, err)
			}
			if f.svg != "" {
				if err := disk.WriteText(f.svg, controlchart.Draw(shown.Chart, title).SVG()); err != nil {
					return err
				}
			}
			return reply(c, chartJSON(shown), func(out io.Writer) { f.write(c, out, shown, title) })
		}),
	}
	c.Flags().StringVar(&f.machine, "machine", "", "only rackets strung on this machine")
	c.Flags().StringVar(&f.stringer, "by", "", "only those of this stringer")
	c.Flags().StringVar(&f.from, "stock", "", "only those whose mains are of this stock")
	c.Flags().StringVar(&f.with, "with", "", "readings of this instrument; the one that read most if none is named")
	c.Flags().StringVar(&f.unit, "unit", "", "readings in a gauge's own unit, which compare only among each other")
	c.Flags().IntVar(&f.last, "last", 100, "show the newest so many stringings; 0 for all")
	c.Flags().StringVar(&f.svg, "svg", "", "write the chart as SVG into this file")
	c.Flags().BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters only")
	jsonFlag(c)
	return c
}

func (f *chartFlags) write(on *cobra.Command, w io.Writer, c shop.Charted, title string) {
	width := 78
	if out, ok := on.OutOrStdout().(*os.File); ok {
		if columns, _, err := term.GetSize(out.Fd()); err == nil {
			width = columns - 2
		}
	}
	fmt.Fprintf(w, "%s · read with %s\n", title, clean(c.Instrument))
	for _, l := range slices.Concat(c.Words(), controlchart.Text(c.Chart, width, 16, f.ascii), shop.AlarmWords(c.Chart), c.Left()) {
		fmt.Fprintln(w, clean(l))
	}
}

// chartFile is a chart in JSON.
type chartFile struct {
	Instrument string         `json:"instrument"`
	Baseline   *baselineFile  `json:"baseline,omitempty"`
	Others     int            `json:"not_in_it"`
	Skipped    int            `json:"skipped"`
	Points     []chartedPoint `json:"points"`
}

type baselineFile struct {
	Name         string  `json:"name,omitempty"`
	Stringings   int     `json:"stringings"`
	Until        string  `json:"until"`
	Centre       float64 `json:"centre"`
	Sigma        float64 `json:"sigma"`
	TrendP       float64 `json:"trend_p"`
	Lower        float64 `json:"lower"`
	Upper        float64 `json:"upper"`
	ShiftSigma   float64 `json:"shift_sigma"`
	ShiftWithin  int     `json:"shift_within"`
	ShiftPower   float64 `json:"shift_power"`
	AlarmsAtMost float64 `json:"false_alarms_at_most"`
	PricedOver   int     `json:"false_alarms_over"`
}

type chartedPoint struct {
	Job        int64     `json:"job"`
	At         string    `json:"at"`
	Value      float64   `json:"value"`
	Readings   int       `json:"readings"`
	SD         float64   `json:"sd"`
	EWMA       *float64  `json:"ewma,omitempty"`
	EWMALimits []float64 `json:"ewma_limits,omitempty"`
	Machine    string    `json:"machine,omitempty"`
	Stringer   string    `json:"stringer,omitempty"`
	String     string    `json:"string,omitempty"`
	Individual bool      `json:"individual_alarm"`
	Average    bool      `json:"ewma_alarm"`
	Changed    []string  `json:"changed"`
}

func chartJSON(c shop.Charted) chartFile {
	out := chartFile{Instrument: c.Instrument, Others: c.Others, Skipped: c.Skipped, Points: []chartedPoint{}}
	if b := c.Base; b != nil {
		lower, upper := b.Limits()
		out.Baseline = &baselineFile{b.Name, b.N, b.Until.Format(time.RFC3339), b.Centre, b.Sigma, b.TrendP, lower, upper,
			controlchart.Shift, controlchart.Within, b.Power(), controlchart.Price, controlchart.PricedOver}
	}
	for i, p := range c.Points {
		q := chartedPoint{Job: p.Job, At: p.At.Format(time.RFC3339), Value: p.Value, Readings: p.N, SD: p.SD, Machine: p.Machine, Stringer: p.Stringer, String: p.String,
			Individual: c.Alarms[i].Individual, Average: c.Alarms[i].EWMA, Changed: []string{}}
		if j := i - c.First; j >= 0 {
			low, high := c.EWMALimits(j)
			q.EWMA, q.EWMALimits = &c.EWMA[j], []float64{low, high}
		}
		if c.Alarms[i].Any() {
			for _, ch := range c.Changed(i) {
				q.Changed = append(q.Changed, ch.String())
			}
		}
		out.Points = append(out.Points, q)
	}
	return out
}
