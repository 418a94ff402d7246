package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/sequence/ticket"
)

// ticketFlags are what a ticket is asked for.
type ticketFlags struct {
	id                    int64
	ids                   []int64
	prints                bool
	columns               int
	form, pdf, svg, steps string
	stringer              string
	playsAWeek            float64
	playsGiven            bool
	notes                 bool
	readingValue          float64
	readingUnit           string
}

func ticketCommand() *cobra.Command {
	var f ticketFlags
	c := &cobra.Command{
		Use:   "ticket [JOB.toml]",
		Short: "Print what goes with a strung racket",
		Long: `Prints what goes with a racket after the job: its newest finished job of that
file, or the job that --id names. As text for a receipt printer, and as a label
62 mm wide or a card in A6 as PDF or SVG. --steps-card writes the steps of a
job on A5 pages, to pin above a machine; that needs no finished job.

The date to restring is common practice and no promise: as many times a year as
the racket is played in a week.`,
		Args: cobra.MaximumNArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if f.pick(); len(f.ids) > 1 && f.pdf+f.svg+f.steps != "" {
				return misuse{errors.New("--pdf, --svg and --steps-card are of one job; --print prints several")}
			}
			if (len(args) == 1) == (f.id > 0) {
				return misuse{errors.New("name a job file, or a job of the book with --id")}
			}
			if len(args) == 1 && args[0] == shop.Piped && f.steps == "" {
				return misuse{errors.New("a ticket is of a job in the book; name its file, or the job with --id")}
			}
			if f.form != string(ticket.Label) && f.form != string(ticket.Card) {
				return misuse{fmt.Errorf("--form %q is not known; label and card are", f.form)}
			}
			if f.columns < 24 || f.columns > 200 {
				return misuse{errors.New("--columns " + strconv.Itoa(f.columns) + " is no paper; write 24 to 200, usually 32 or 48")}
			}
			if !(f.playsAWeek >= 0 && f.playsAWeek <= 50) {
				return misuse{fmt.Errorf("--plays-a-week %g is not possible; write 0 to 50, 0 for no date", f.playsAWeek)}
			}
			f.playsGiven = c.Flags().Changed("plays-a-week")
			if f.steps != "" && f.id == 0 {
				return f.stepsCard(c, args[0])
			}
			return inOldBook(c, func(s *shop.Shop) error { return f.print(c, s, args) })
		}),
	}
	c.Flags().Int64SliceVar(&f.ids, "id", nil, "the job's `NUMBER` in the book, or several with commas; of one that waits what is to be done is printed")
	complete(c, "id", ofBook(records.KindJob))
	c.Flags().BoolVar(&f.prints, "print", false, "with the print command of the settings")
	c.Flags().IntVar(&f.columns, "columns", 48, "characters in a line of the receipt printer, 32 or 48")
	c.Flags().StringVar(&f.form, "form", string(ticket.Label), "label or card, for --pdf and --svg")
	c.Flags().StringVar(&f.pdf, "pdf", "", "write the form as PDF into this file")
	c.Flags().StringVar(&f.svg, "svg", "", "write the form as SVG into this file")
	c.Flags().StringVar(&f.steps, "steps-card", "", "write the steps as PDF pages in A5 into this file")
	c.Flags().StringVar(&f.stringer, "stringer", "", "who strung it")
	c.Flags().Float64Var(&f.playsAWeek, "plays-a-week", shop.PlaysAWeek, "how often it is played, for the date to restring; 0 for none")
	c.Flags().BoolVar(&f.notes, "notes", false, "print the stringer's own notes too")
	c.Flags().Float64Var(&f.readingValue, "reading", 0, "what a tap or a gauge said of the bed")
	c.Flags().StringVar(&f.readingUnit, "unit", "Hz", "the unit of --reading")
	return c
}

// pick takes the first of the jobs as the one that all else is about.
func (f *ticketFlags) pick() {
	if len(f.ids) > 0 {
		f.id = f.ids[0]
	}
}

// out prints a text, or writes it where nobody asked for that.
func (f *ticketFlags) out(c *cobra.Command, text string) error {
	if f.prints {
		return printOut(c.Context(), text)
	}
	_, err := io.WriteString(c.OutOrStdout(), text)
	return err
}

// stepsCard writes the steps of a job file, which takes no book.
func (f *ticketFlags) stepsCard(c *cobra.Command, path string) error {
	w, err := loadAsked(c, path)
	if err != nil {
		return err
	}
	// A plan has no date of its own. A fixed one makes the same plan the same file.
	return disk.WriteNew(f.steps, func(out io.Writer) error { return ticket.StepsPDF(out, w.Plan, shop.Cuts(w), time.Unix(0, 0)) })
}

func (f *ticketFlags) print(c *cobra.Command, s *shop.Shop, args []string) error {
	if set, err := houseSettings(); err == nil && !c.Flags().Changed("columns") {
		f.columns = set.Columns
	}
	waits, err := s.Waits(c.Context(), f.id)
	if err != nil {
		return err
	}
	if len(f.ids) > 1 || waits && f.pdf+f.svg+f.steps == "" {
		text, err := s.Papers(c.Context(), f.ids, f.columns)
		if err != nil {
			return err
		}
		return f.out(c, text)
	}
	var job *book.Job
	if f.id > 0 {
		job, err = s.Book.Job(c.Context(), f.id)
	} else {
		job, err = s.Strung(c.Context(), args[0])
	}
	if err != nil {
		return err
	}
	facts := f.over(s.Ticket(c.Context(), job))
	if f.steps != "" {
		return disk.WriteNew(f.steps, func(w io.Writer) error { return ticket.StepsPDF(w, facts.Plan, nil, job.Made) })
	}
	t, err := ticket.New(facts)
	if err != nil {
		return err
	}
	if f.pdf != "" {
		err = disk.WriteNew(f.pdf, func(w io.Writer) error { return t.PDF(w, ticket.Form(f.form)) })
	}
	if f.svg != "" && err == nil {
		err = disk.WriteText(f.svg, t.SVG(ticket.Form(f.form)))
	}
	if f.pdf+f.svg == "" {
		err = f.out(c, t.Text(f.columns))
	}
	return err
}

// over puts what was said on the command line over what the book knows.
func (f *ticketFlags) over(facts ticket.Facts) ticket.Facts {
	facts.Notes, facts.Stringer = f.notes, cmp.Or(f.stringer, facts.Stringer)
	if f.playsGiven {
		facts.PlaysAWeek = f.playsAWeek
	}
	if f.readingValue > 0 {
		facts.Reading = &ticket.Reading{Value: f.readingValue, Unit: f.readingUnit}
	}
	return facts
}
