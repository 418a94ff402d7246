package main

import (
	"fmt"
	"io"
	"os"
	"slices"

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
			return reply(c, shown.JSON(), func(out io.Writer) { f.write(c, out, shown, title) })
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
