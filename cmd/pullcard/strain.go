package main

import (
	"cmp"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/calc"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// strainFlags are the choices of the command.
type strainFlags struct {
	variants, gentlest, level, fit bool
	svg                            string
	step                           int
	against, measured              []string
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
	complete(c, "against", named(records.KindSheet))
	c.Flags().BoolVar(&f.variants, "variants", false, "set variants of the job's sheet beside it")
	c.Flags().BoolVar(&f.gentlest, "gentlest", false, "search what the sheet leaves open for less bending and a more even bed")
	c.Flags().BoolVar(&f.level, "level", false, "say which boosts bring boosted strands level with their neighbours")
	c.Flags().BoolVar(&f.fit, "fit", false, "fit the tube's ei to the hoops of this frame that were measured before and after, as the book has them")
	c.Flags().StringArrayVar(&f.measured, "measured", nil, "a hoop measured before and after, \"330 x 250, 329.2 x 250.6\" in mm: say whether that was to be expected, and fit ei to it")
	jsonFlag(c)
	c.Flags().StringVar(&f.svg, "svg", "", "draw the hoop as it gives into this file")
	c.Flags().IntVar(&f.step, "step", 0, "of which step --svg draws; the last if left away")
	return c
}

func (f *strainFlags) run(c *cobra.Command, w *shop.Work) error {
	house, err := houseSettings()
	if err != nil {
		return err
	}
	if f.step < 0 || f.step > len(w.Plan.Steps) {
		return misuse{fmt.Errorf("--step %d is none; the plan has steps 1 to %d", f.step, len(w.Plan.Steps))}
	}
	if f.step > 0 && f.svg == "" {
		return misuse{errors.New("--step says of which step the picture is; name its file with --svg")}
	}
	want := calc.StrainOptions{Variants: f.variants, Gentlest: f.gentlest, Levels: f.level}
	for _, name := range f.against {
		t, err := filesOf(c).Technique(name)
		if err != nil {
			return err
		}
		want.Sheets = append(want.Sheets, t)
	}
	if want.Tapes, err = f.tapes(c, w.Plan.Frame); err != nil {
		return err
	}
	s, err := w.StrainReport(c.Context(), house.Strain, want)
	if err != nil {
		return err
	}
	if f.svg != "" {
		if err := writeSVG(f.svg, s.Picture(cmp.Or(f.step, len(w.Plan.Steps)), 0).Sheet().SVG()); err != nil {
			return err
		}
	}
	return told(c, s, s.Tell()...)
}

// tapes are the hoops that were measured: those that are named, and with --fit those of the book.
func (f *strainFlags) tapes(c *cobra.Command, frame string) (tapes []calc.HoopMeasurement, err error) {
	for _, text := range f.measured {
		t, err := calc.ParseHoopMeasurement(text)
		if err != nil {
			return nil, misuse{fmt.Errorf("--measured %w", err)}
		}
		tapes = append(tapes, t)
	}
	if !f.fit {
		return tapes, nil
	}
	err = inBook(c, func(s *shop.Shop) error {
		kept, err := s.HoopMeasurements(c.Context(), frame)
		tapes = append(tapes, kept...)
		return err
	})
	if err == nil && len(tapes) == 0 {
		err = fmt.Errorf("the book has no measured hoop of a job on %s; measure one, as pullcard book hoop add --job 1 --before \"330 x 250 mm\" --after \"329.2 x 250.6 mm\"", frame)
	}
	return tapes, err
}
