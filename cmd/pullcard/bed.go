package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns/mechanics"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// bedFlags are the choices of the command.
type bedFlags struct {
	svg  string
	loss float64
	left string
	feel string
}

func bedCommand() *cobra.Command {
	var f bedFlags
	c := &cobra.Command{
		Use:   "bed JOB.toml",
		Short: "Print what the strung bed will be",
		Long: `Prints what the strung bed will be: tensions, stiffness, frequencies, and what
each choice would change. What rests on assumptions stands apart.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if !(f.loss >= 0 && f.loss < 100) {
				return misuse{fmt.Errorf("--loss %g is no loss in percent; write 0 to 99, as --loss 30", f.loss)}
			}
			w, err := loadAsked(c, args[0])
			if err != nil {
				return err
			}
			left, err := leftOf(f.left, w.Work)
			if err != nil {
				return err
			}
			b, err := f.bed(c, w, left, asJSON(c))
			if err != nil {
				return err
			}
			if f.svg != "" {
				if err := writeSVG(f.svg, mechanics.Picture(b.Grid, b.Net).Sheet().SVG()); err != nil {
					return err
				}
			}
			return told(c, b.JSON(w.Job.Machine.Cautions(w.Job.Mains, w.Job.Crosses)), w.TellBed(b, f.feel)...)
		}),
	}
	jsonFlag(c)
	c.Flags().StringVar(&f.svg, "svg", "", "draw the bed and its stiffness into this file")
	c.Flags().Float64Var(&f.loss, "loss", mechanics.LossAfterStringing().Percent, "percent of the tension that is assumed to be lost after stringing")
	leftFlag(c, &f.left, "a flat loss")
	c.Flags().StringVar(&f.feel, "same-feel", "", "say how to string this layout for the same feel")
	complete(c, "same-feel", named(records.KindFrame))
	return c
}

// leftFlag adds --left.
func leftFlag(c *cobra.Command, when *string, instead string) {
	c.Flags().StringVar(when, "left", "", "take the tensions left as the plan plays on an elastic hoop instead of "+instead+": off (the machine) or day (later)")
}

// leftBy plays a work for the tensions left that --left asks for, nil where it does not.
func leftBy(when string) (func(calc.Work) (*calc.Left, error), error) {
	switch when {
	case "":
		return nil, nil
	case "off", "day":
		return func(w calc.Work) (*calc.Left, error) { return w.Left(houseStrain(), when == "day") }, nil
	}
	return nil, misuse{fmt.Errorf("--left %s is not known; write off, right off the machine, or day, a day later", when)}
}

// leftOf are the tensions left that --left asks for of a work, nil where it does not.
func leftOf(when string, w calc.Work) (*calc.Left, error) {
	left, err := leftBy(when)
	if left == nil {
		return nil, err
	}
	return left(w)
}

func (f *bedFlags) bed(c *cobra.Command, w *shop.Work, left *calc.Left, everywhere bool) (*calc.Bed, error) {
	o := calc.Options{LossPercent: f.loss, Patterns: disk.Files().Patterns(w.Frame), Map: everywhere, Left: left}
	if f.feel != "" {
		frame, err := filesOf(c).Layout(f.feel)
		if err != nil {
			return nil, err
		}
		if _, err := sequence.Grid(frame); err != nil {
			return nil, err
		}
		o.Feel = frame
	}
	return w.Bed(o)
}

// writeSVG writes what --svg asks for over what is there.
func writeSVG(path, svg string) error {
	if err := os.WriteFile(path, []byte(svg), 0o644); err != nil {
		return fmt.Errorf("--svg %s: %s; name a file that can be written", path, shop.Reason(err))
	}
	return nil
}
