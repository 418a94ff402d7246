package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// chartFlags are the choices of the command.
type chartFlags struct {
	machine, stringer, from, with, unit, svg string
	last                                     int
	ascii, asJSON                            bool
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
		RunE: failing(func(c *cobra.Command, _ []string) error {
			return readingBook(c, func(s *shop) error {
				having, title, err := f.having(s)
				if err != nil {
					return err
				}
				of, err := s.series(having, own(f.unit), 0)
				if err != nil {
					return err
				}
				shown, err := s.chart(of, having, f.with, f.last)
				if err != nil {
					return fmt.Errorf("%s: %w; pullcard book reading add keeps one", title, err)
				}
				if f.svg != "" {
					if err := writeNew(f.svg, func(w io.Writer) error { return controlchart.SVG(w, shown.Chart, title) }); err != nil {
						return err
					}
				}
				if f.asJSON {
					return writeJSON(c.OutOrStdout(), chartJSON(shown))
				}
				return f.write(c.OutOrStdout(), shown, title)
			})
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
	c.Flags().BoolVar(&f.asJSON, "json", false, "as JSON")
	return c
}

// having is what the jobs of the chart have in their fields.
func (f *chartFlags) having(s *shop) (records.Job, string, error) {
	var having records.Job
	title := []string{"readings"}
	for _, by := range []struct {
		asked string
		uid   *string
		kind  records.Name
	}{{f.machine, &having.Machine, records.KindMachine}, {f.stringer, &having.Stringer, records.KindStringer}, {f.from, &having.Mains, records.KindStock}} {
		if by.asked == "" {
			continue
		}
		r, err := s.book.One(s.ctx, by.kind, by.asked)
		if err != nil {
			return having, "", err
		}
		*by.uid = r.UID
		title = append(title, r.Label())
	}
	return having, clean(strings.Join(title, " · ")), nil
}

func (f *chartFlags) write(w io.Writer, c charted, title string) error {
	width := 78
	if out, ok := w.(*os.File); ok {
		if columns, _, err := term.GetSize(out.Fd()); err == nil {
			width = columns - 2
		}
	}
	fmt.Fprintf(w, "%s · read with %s\n", title, clean(c.instrument))
	for _, l := range append(c.Words(), controlchart.Text(c.Chart, width, 16, f.ascii)...) {
		fmt.Fprintln(w, clean(l))
	}
	for _, l := range append(alarmWords(c.Chart), c.left()...) {
		fmt.Fprintln(w, l)
	}
	return nil
}

// left says what is not in the chart.
func (c charted) left() (out []string) {
	if c.others > 0 {
		out = append(out, fmt.Sprintf("%d are not in it: read again later, after play, or with another instrument (--with), as instruments never mix in a chart", c.others))
	}
	if c.skipped > 0 {
		out = append(out, fmt.Sprintf("%d readings are not in it: nothing was computed for them, or they are in a gauge's own unit (--unit)", c.skipped))
	}
	return out
}

// alarmWords tells each point at which an alarm begins, until where it lasts, and what changed there.
func alarmWords(c *controlchart.Chart) []string {
	var out []string
	for i := 0; i < len(c.Points); i++ {
		if !c.Alarms[i].Any() {
			continue
		}
		from := i
		for i+1 < len(c.Points) && c.Alarms[i+1].Any() {
			i++
		}
		p := c.Points[from]
		text := fmt.Sprintf("job %d, %s, %.3f: %s", p.Job, p.At.Local().Format("2006-01-02"), p.Value, c.Alarms[from])
		if i > from {
			text += fmt.Sprintf(", as does each until job %d", c.Points[i].Job)
		}
		var changes []string
		for _, ch := range c.Changed(from) {
			changes = append(changes, ch.String())
		}
		if len(changes) == 0 {
			changes = []string{"nothing that the book knows of changed"}
		}
		out = append(out, clean(text+" · "+strings.Join(changes, "; ")))
	}
	return out
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

func chartJSON(c charted) chartFile {
	out := chartFile{Instrument: c.instrument, Others: c.others, Skipped: c.skipped, Points: []chartedPoint{}}
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
