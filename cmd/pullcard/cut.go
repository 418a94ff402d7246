package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/patterns/grid"
	"pullcard/sequence/calc"
	"pullcard/sequence/shop"
)

func cutCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "cut JOB.toml",
		Short: "Print the lengths of string to cut",
		Long: `Prints the length of each piece of string, term by term, so that it can be
checked with a tape. A set or reel that the job names and that is too short is
refused, with the missing length.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			w, err := loadAsked(c, args[0])
			if err != nil {
				return err
			}
			l, err := w.Numbers().Lengths()
			if err != nil {
				return err
			}
			if asJSON {
				return writeJSON(c.OutOrStdout(), cutJSON(l))
			}
			return writeCut(c.OutOrStdout(), w, l)
		}),
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	return c
}

// cutting is the JSON form of lengths.
type cutting struct {
	Pieces []grid.Piece       `json:"pieces"`
	Spans  map[string]float64 `json:"spans"`
	Left   []left             `json:"left"`
	// Tensions are what the strands are pulled at, boosts aside, each with its unit, where they are not all pulled like their kind.
	Tensions map[string]string `json:"tensions,omitempty"`
	Doubts   []string          `json:"doubts"`
	// TooLong says that the pieces pass a usual set, with what Savings the house may take.
	TooLong string        `json:"too_long,omitempty"`
	Savings []grid.Saving `json:"savings,omitempty"`
}

// left is what is left on a set or reel.
type left struct {
	What string  `json:"what"`
	MM   float64 `json:"mm"`
}

func cutJSON(l *calc.Lengths) cutting {
	out := cutting{Pieces: l.Pieces, Spans: map[string]float64{}, Left: []left{}, Tensions: calc.Tensions(l.ByStrand), Doubts: append([]string{}, l.Doubts...)}
	if l.TooLong != "" {
		out.TooLong, out.Savings = l.TooLong, grid.Savings(l.Pieces, l.Practice)
	}
	for _, lines := range [][]grid.Line{l.Grid.Columns, l.Grid.Rows} {
		for _, line := range lines {
			out.Spans[line.Strand.String()] = line.MM()
		}
	}
	for _, s := range l.Left {
		out.Left = append(out.Left, left{s.Name, s.MM})
	}
	return out
}

// writeCut writes lengths to read at the bench.
func writeCut(out io.Writer, w *shop.Work, l *calc.Lengths) error {
	b := bufio.NewWriter(out)
	writeGrid(b, w, l.Grid)
	for _, doubt := range l.Doubts {
		fmt.Fprintf(b, "! %s\n", clean(doubt))
	}
	for _, p := range l.Pieces {
		writePiece(b, p)
	}
	if l.TooLong != "" {
		fmt.Fprintf(b, "\n! %s\n", clean(l.TooLong))
	}
	if len(l.Left) > 0 {
		fmt.Fprintln(b)
	}
	for _, s := range l.Left {
		fmt.Fprintf(b, "left on %s: %.0f mm\n", s.Name, s.MM)
	}
	writeByStrand(b, l.ByStrand)
	fmt.Fprintln(b, "\nThe string's stretch, 3 to 10 %, is a safety and is not deducted.")
	return b.Flush()
}

// writeGrid writes where the strings lie.
func writeGrid(b io.Writer, w *shop.Work, g *grid.Grid) {
	h := w.Frame.Hoop
	shape := ""
	if h.Exponent != 2 {
		shape = fmt.Sprintf(", shape %g", h.Exponent)
	}
	fmt.Fprintf(b, "%s · %s\n", clean(w.Plan.Frame), clean(w.Plan.Technique))
	fmt.Fprintf(b, "%d × %d on %g × %g mm%s, %.1f cm² (%.1f in²)\n", len(g.Columns), len(g.Rows), h.LengthMM, h.WidthMM, shape, g.AreaCM2(), g.AreaIn2())
	measured := func(is float64) string {
		if is > 0 {
			return " as measured"
		}
		return ""
	}
	mains, crosses := g.Density()
	fmt.Fprintf(b, "mains %.1f mm apart%s, crosses %.1f mm%s\n", g.MainPitchMM, measured(w.Frame.Measured.MainPitchMM), g.CrossPitchMM, measured(w.Frame.Measured.CrossPitchMM))
	fmt.Fprintf(b, "in the centre %.1f and %.1f mm, at the edges %.1f and %.1f mm\n", mains.CentreMM, crosses.CentreMM, mains.EdgeMM, crosses.EdgeMM)
	if far, ok := calc.Farthest(g); ok {
		fmt.Fprintf(b, "%d ends of %d lie off the even grid, %s at %s the farthest: %.1f mm\n",
			len(g.Departures), 2*(len(g.Columns)+len(g.Rows)), far.Strand, w.Frame.HoleName(far.Hole), far.MM)
	}
}

// writePiece writes every term of a piece and what they come to.
func writePiece(b io.Writer, p grid.Piece) {
	fmt.Fprintf(b, "\n%s: cut %g mm (%s)\n", strings.ToUpper(p.Name), p.CutMM, grid.FeetInches(p.CutMM))
	switch {
	case p.ShortMM*2 == p.CutMM:
		fmt.Fprintf(b, "each side %g mm (%s), from the middle of the loop to its end\n", p.ShortMM, grid.FeetInches(p.ShortMM))
	case p.ShortMM > 0:
		fmt.Fprintf(b, "short side %g mm (%s), from the middle of the loop to its end; the long one %g mm\n", p.ShortMM, grid.FeetInches(p.ShortMM), p.CutMM-p.ShortMM)
	}
	for _, t := range p.Terms {
		fmt.Fprintf(b, "%9.1f mm  %s\n", t.MM, t.What)
	}
	fmt.Fprintf(b, "%9.1f mm  in all:", p.CutMM)
	for i, t := range p.Sums() {
		fmt.Fprintf(b, "%s %s %.1f mm", [2]string{"", ","}[min(i, 1)], t.What, t.MM)
	}
	fmt.Fprintln(b)
}

// writeByStrand writes what every strand is pulled at, where they are not all pulled like their kind.
func writeByStrand(b io.Writer, strands []calc.StrandPull) {
	if len(strands) == 0 {
		return
	}
	fmt.Fprintln(b, "\nSTRAND BY STRAND: what the steps pull, where a knot follows with the boost")
	for _, s := range strands {
		fmt.Fprintf(b, "%6s  %6.1f mm  %s", s.Strand, s.MM, s.Ordered)
		if s.Boost {
			fmt.Fprintf(b, ", %s with its boost", s.Boosted)
		}
		fmt.Fprintln(b)
	}
}
