package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/assume"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/shop"
	"pullcard/sequence/strain"
)

// strainFlags are the choices of the command.
type strainFlags struct {
	asJSON, variants, gentlest, level, fit bool
	svg                                    string
	step                                   int
	against, measured                      []string
}

func strainCommand() *cobra.Command {
	var f strainFlags
	c := &cobra.Command{
		Use:   "strain JOB.toml",
		Short: "Print what stringing does to the hoop, and what the hoop does to the strings",
		Long: `Plays the job's plan, step by step, on a hoop that gives: the tension of every
strand on the machine, off it and a day later, where the rest went, the shape
of the hoop, the loads of the supports and the bending of the tube. Every number
that it takes for granted is listed with where it comes from; a table [strain] in
settings, layout, technique sheet or job sets them.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			w, err := loadAsked(c, args[0])
			if err != nil {
				return err
			}
			return f.run(c, w)
		}),
	}
	c.Flags().StringArrayVar(&f.against, "against", nil, "another technique sheet to set beside the job's")
	c.Flags().BoolVar(&f.variants, "variants", false, "set variants of the job's sheet beside it")
	c.Flags().BoolVar(&f.gentlest, "gentlest", false, "search what the sheet leaves open for less bending and a more even bed")
	c.Flags().BoolVar(&f.level, "level", false, "say which boosts bring boosted strands level with their neighbours")
	c.Flags().BoolVar(&f.fit, "fit", false, "fit the tube's ei to the hoops of this frame that were measured before and after, as the book has them")
	c.Flags().StringArrayVar(&f.measured, "measured", nil, "a hoop measured before and after, \"330 x 250, 329.2 x 250.6\" in mm: say whether that was to be expected, and fit ei to it")
	c.Flags().BoolVar(&f.asJSON, "json", false, "as JSON")
	c.Flags().StringVar(&f.svg, "svg", "", "draw the hoop as it gives into this file")
	c.Flags().IntVar(&f.step, "step", 0, "of which step --svg draws; the last if left away")
	return c
}

// strained is everything that the command works out.
type strained struct {
	course   *strain.Course
	takes    []assume.Line
	sides    []calc.Outcome
	gentlest *calc.Gentlest
	levels   []calc.Level
	tape     *taped
}

// taped is what measuring says, and the fit to it.
type taped struct {
	Expected string   `json:"expected"`
	Measured []string `json:"measured"`
	Outside  bool     `json:"outside"`
	Fit      calc.Fit `json:"ei_newton_square_metres"`
	FitWords string   `json:"fit"`
}

// measure compares measured hoops with what is expected, and fits EI to them.
func (f *strainFlags) measure(c *cobra.Command, w calc.Work, house assume.Table) (*taped, error) {
	var tapes []calc.Tape
	for _, text := range f.measured {
		t, err := calc.ParseTape(text)
		if err != nil {
			return nil, misuse{fmt.Errorf("--measured %w", err)}
		}
		tapes = append(tapes, t)
	}
	if f.fit {
		err := inBook(c, func(s *shop.Shop) error {
			kept, err := s.Tapes(c.Context(), w.Plan.Frame)
			tapes = append(tapes, kept...)
			return err
		})
		if err != nil {
			return nil, err
		}
		if len(tapes) == 0 {
			return nil, fmt.Errorf("the book has no measured hoop of a job on %s; measure one, as pullcard book hoop add --job 1 --before \"330 x 250 mm\" --after \"329.2 x 250.6 mm\"", w.Plan.Frame)
		}
	}
	if len(tapes) == 0 {
		return nil, nil
	}
	e, err := w.Expect(house)
	if err != nil {
		return nil, err
	}
	out := &taped{Expected: e.Words()}
	for _, t := range tapes {
		words, outside := e.Judge(t)
		out.Measured, out.Outside = append(out.Measured, words), out.Outside || outside
	}
	if out.Fit, err = w.FitEI(house, tapes); err != nil {
		return nil, err
	}
	out.FitWords = out.Fit.Words()
	return out, nil
}

func (f *strainFlags) run(c *cobra.Command, w *shop.Work) error {
	house, err := houseSettings()
	if err != nil {
		return err
	}
	if f.step < 0 || f.step > len(w.Plan.Steps) {
		return misuse{fmt.Errorf("--step %d is none; the plan has steps 1 to %d", f.step, len(w.Plan.Steps))}
	}
	s, err := f.work(c, w.Numbers(), house.Strain)
	if err != nil {
		return err
	}
	if f.svg != "" {
		n := f.step
		if n == 0 {
			n = len(w.Plan.Steps)
		}
		if err := os.WriteFile(f.svg, []byte(s.course.Picture(n, 0).SVG()), 0o644); err != nil {
			return fmt.Errorf("--svg %s: %s; name a file that can be written", f.svg, shop.Reason(err))
		}
	}
	if f.asJSON {
		return writeJSON(c.OutOrStdout(), s.json())
	}
	return s.write(c.OutOrStdout(), w)
}

// work plays the plan and whatever else is asked for.
func (f *strainFlags) work(c *cobra.Command, w calc.Work, house assume.Table) (*strained, error) {
	s := &strained{takes: w.Takes(house)}
	var sheets []*sequence.Technique
	for _, name := range f.against {
		t, err := disk.Files().Technique(name)
		if err != nil {
			return nil, err
		}
		sheets = append(sheets, t)
	}
	var err error
	if s.course, err = w.Strain(house); err != nil {
		return nil, err
	}
	if len(sheets) > 0 {
		s.sides = w.Against(house, sheets)
	}
	if f.variants {
		all := w.Variants(house)
		s.sides = append(s.sides, all[min(len(s.sides), 1):]...)
	}
	if f.gentlest {
		if s.gentlest, err = w.Gentlest(c.Context(), house, func(int, int) {}); err != nil {
			return nil, err
		}
	}
	if f.level {
		if s.levels, err = w.Levels(house); err != nil {
			return nil, err
		}
	}
	s.tape, err = f.measure(c, w, house)
	return s, err
}

func (s *strained) write(out io.Writer, w *shop.Work) error {
	buf := bufio.NewWriter(out)
	fmt.Fprintf(buf, "%s, %s: %s\n", clean(w.Plan.Frame), clean(w.Plan.Technique), w.Plan.Terms.Tensions())
	for _, part := range s.course.Report(w.Job.Mains.Unit()) {
		fmt.Fprintf(buf, "\n%s\n", part.Head)
		for _, l := range part.Lines {
			mark := ""
			if l.Warn {
				mark = "! "
			}
			fmt.Fprintf(buf, "%s%s\n", mark, clean(l.Text))
		}
	}
	s.writeSides(buf)
	s.writeGentlest(buf)
	for i, l := range s.levels {
		if i == 0 {
			fmt.Fprintln(buf, "\nBOOSTS that bring boosted strands level with their neighbours off the machine")
		}
		fmt.Fprintln(buf, l.Words())
	}
	if s.tape != nil {
		fmt.Fprintf(buf, "\nMEASURED off the machine; to be expected: %s\n", s.tape.Expected)
		for _, words := range append(s.tape.Measured, s.tape.FitWords) {
			fmt.Fprintln(buf, clean(words))
		}
	}
	fmt.Fprintln(buf, "\nASSUMED, none of it part of the plan; a table [strain] in settings, layout, sheet or job sets it")
	t := tabwriter.NewWriter(buf, 0, 0, 2, ' ', 0)
	for _, l := range s.takes {
		fmt.Fprintf(t, "%s\t%s\t%s\t(%s)\n", l.Key, clean(l.Value), l.What, clean(l.Source))
	}
	t.Flush()
	return buf.Flush()
}

func (s *strained) writeSides(out io.Writer) {
	if len(s.sides) == 0 {
		return
	}
	fmt.Fprintln(out, "\nSIDE BY SIDE")
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\tuneven\tmean left\tbending\tsupport\tshorter\twider\tsteps")
	for _, o := range s.sides {
		if o.Why != "" {
			fmt.Fprintf(t, "%s\t–  %s\n", clean(o.Name), clean(strings.SplitN(o.Why, "\n", 2)[0]))
			continue
		}
		fmt.Fprintf(t, "%s\t%.1f %%\t%.0f N\t%.1f N·m\t%.0f N\t%.1f mm\t%.1f mm\t%d\n", clean(o.Name), o.UnevenPercent, o.MeanN, o.BendingNm, o.SupportN, o.ShorterMM, o.WiderMM, o.Steps)
	}
	t.Flush()
	for _, line := range calc.Verdict(s.sides) {
		fmt.Fprintln(out, clean(line))
	}
}

func (s *strained) writeGentlest(out io.Writer) {
	if s.gentlest == nil {
		return
	}
	fmt.Fprintln(out, "\nGENTLEST")
	for _, line := range s.gentlest.Words() {
		fmt.Fprintln(out, clean(line))
	}
}
