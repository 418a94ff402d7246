package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
)

// chartFlags are the choices of the command.
type chartFlags struct {
	machine, stringer, from, unit, svg string
	last                               int
	ascii, asJSON                      bool
}

func bookChart() *cobra.Command {
	var f chartFlags
	c := &cobra.Command{
		Use:   "chart",
		Short: "Are the rackets alike: a control chart of the readings",
		Long: `Draws the chart of individuals and moving ranges of the readings, each as the share
of the ordered tension that its bed computes to have, so that rackets of
different kinds compare: 1 is the computed bed without losses. Points that break
a run rule are marked, and what changed there is told.`,
		Args: cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, _ []string) error {
			return readingBook(c, func(s *shop) error {
				having, title, err := f.having(s)
				if err != nil {
					return err
				}
				of, err := s.series(having, own(f.unit), f.last)
				if err != nil {
					return err
				}
				ch, err := s.chart(of)
				if err != nil {
					return fmt.Errorf("%s: %w; pullcard book reading add keeps one", title, err)
				}
				if f.svg != "" {
					if err := writeNew(f.svg, func(w io.Writer) error { return controlchart.SVG(w, ch, title) }); err != nil {
						return err
					}
				}
				if f.asJSON {
					return writeJSON(c.OutOrStdout(), chartJSON(ch, of.skipped))
				}
				return f.write(c.OutOrStdout(), ch, title, of.skipped)
			})
		}),
	}
	c.Flags().StringVar(&f.machine, "machine", "", "only rackets strung on this machine")
	c.Flags().StringVar(&f.stringer, "by", "", "only those of this stringer")
	c.Flags().StringVar(&f.from, "stock", "", "only those whose mains are of this stock")
	c.Flags().StringVar(&f.unit, "unit", "", "readings in a gauge's own unit, which compare only among each other")
	c.Flags().IntVar(&f.last, "last", 100, "the newest so many readings; 0 for all")
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

func (f *chartFlags) write(w io.Writer, c *controlchart.Chart, title string, skipped int) error {
	width := 78
	if out, ok := w.(*os.File); ok {
		if columns, _, err := term.GetSize(out.Fd()); err == nil {
			width = columns - 2
		}
	}
	fmt.Fprintf(w, "%s: %d, mean %.3f, limits %.3f to %.3f, mean moving range %.4f\n", title, len(c.Points), c.Centre, c.Lower, c.Upper, c.MeanRange)
	if !c.Trusted() {
		fmt.Fprintf(w, "fewer than %d readings: the limits are a first guess\n", controlchart.Enough)
	}
	for _, l := range controlchart.Text(c, width, 16, f.ascii) {
		fmt.Fprintln(w, l)
	}
	for _, l := range chartWords(c) {
		fmt.Fprintln(w, l)
	}
	if skipped > 0 {
		fmt.Fprintf(w, "%d readings are not in it: nothing was computed for them, or they are in a gauge's own unit (--unit)\n", skipped)
	}
	return nil
}

// chartWords tells each marked point, which rule it breaks and what changed there.
func chartWords(c *controlchart.Chart) []string {
	var out []string
	for _, i := range c.Flagged() {
		p := c.Points[i]
		var rules, changes []string
		for _, r := range c.Broken[i] {
			rules = append(rules, r.String())
		}
		for _, ch := range c.Changed(i) {
			changes = append(changes, ch.String())
		}
		text := fmt.Sprintf("job %d, %s, %.3f: %s", p.Job, p.At.Local().Format("2006-01-02"), p.Value, strings.Join(rules, "; "))
		if len(changes) > 0 {
			text += " · " + strings.Join(changes, "; ")
		} else {
			text += " · nothing that the book knows of changed"
		}
		out = append(out, clean(text))
	}
	return out
}

// charted is a chart in JSON.
type charted struct {
	Centre  float64        `json:"centre"`
	Lower   float64        `json:"lower"`
	Upper   float64        `json:"upper"`
	Range   float64        `json:"mean_moving_range"`
	Trusted bool           `json:"trusted"`
	Skipped int            `json:"skipped"`
	Points  []chartedPoint `json:"points"`
}

type chartedPoint struct {
	Job      int64    `json:"job"`
	At       string   `json:"at"`
	Value    float64  `json:"value"`
	Machine  string   `json:"machine,omitempty"`
	Stringer string   `json:"stringer,omitempty"`
	String   string   `json:"string,omitempty"`
	Rules    []string `json:"rules"`
	Changed  []string `json:"changed"`
}

func chartJSON(c *controlchart.Chart, skipped int) charted {
	out := charted{Centre: c.Centre, Lower: c.Lower, Upper: c.Upper, Range: c.MeanRange, Trusted: c.Trusted(), Skipped: skipped, Points: []chartedPoint{}}
	for i, p := range c.Points {
		q := chartedPoint{Job: p.Job, At: p.At.Format("2006-01-02T15:04:05Z07:00"), Value: p.Value, Machine: p.Machine, Stringer: p.Stringer, String: p.String,
			Rules: []string{}, Changed: []string{}}
		for _, r := range c.Broken[i] {
			q.Rules = append(q.Rules, r.String())
		}
		if len(c.Broken[i]) > 0 {
			for _, ch := range c.Changed(i) {
				q.Changed = append(q.Changed, ch.String())
			}
		}
		out.Points = append(out.Points, q)
	}
	return out
}
