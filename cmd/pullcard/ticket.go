package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/book"
	"pullcard/sequence/records"
	progress "pullcard/sequence/run"
	"pullcard/sequence/ticket"
)

// ticketFlags are what a ticket is asked for.
type ticketFlags struct {
	id                    int64
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
			if (len(args) == 1) == (f.id > 0) {
				return misuse{errors.New("name a job file, or a job of the book with --id")}
			}
			if len(args) == 1 && args[0] == dash && f.steps == "" {
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
			return readingBook(c, func(s *shop) error { return f.print(c, s, args) })
		}),
	}
	c.Flags().Int64Var(&f.id, "id", 0, "the job's number in the book")
	c.Flags().IntVar(&f.columns, "columns", 48, "characters in a line of the receipt printer, 32 or 48")
	c.Flags().StringVar(&f.form, "form", string(ticket.Label), "label or card, for --pdf and --svg")
	c.Flags().StringVar(&f.pdf, "pdf", "", "write the form as PDF into this file")
	c.Flags().StringVar(&f.svg, "svg", "", "write the form as SVG into this file")
	c.Flags().StringVar(&f.steps, "steps-card", "", "write the steps as PDF pages in A5 into this file")
	c.Flags().StringVar(&f.stringer, "stringer", "", "who strung it")
	c.Flags().Float64Var(&f.playsAWeek, "plays-a-week", playsAWeek, "how often it is played, for the date to restring; 0 for none")
	c.Flags().BoolVar(&f.notes, "notes", false, "print the stringer's own notes too")
	c.Flags().Float64Var(&f.readingValue, "reading", 0, "what a tap or a gauge said of the bed")
	c.Flags().StringVar(&f.readingUnit, "unit", "Hz", "the unit of --reading")
	return c
}

// playsAWeek is how often a racket is played whose player has not said: this program's own choice. The ticket names it.
const playsAWeek = 2

// stepsCard writes the steps of a job file, which takes no book.
func (f *ticketFlags) stepsCard(c *cobra.Command, path string) error {
	w, err := loadAsked(c, path)
	if err != nil {
		return err
	}
	// A plan has no date of its own. A fixed one makes the same plan the same file.
	return writeNew(f.steps, func(out io.Writer) error { return ticket.StepsPDF(out, w.plan, time.Unix(0, 0)) })
}

func (f *ticketFlags) print(c *cobra.Command, s *shop, args []string) error {
	job, err := f.job(s, args)
	if err != nil {
		return err
	}
	facts := f.facts(s, job)
	if f.steps != "" {
		return writeNew(f.steps, func(w io.Writer) error { return ticket.StepsPDF(w, facts.Plan, job.Made) })
	}
	t, err := ticket.New(facts)
	if err != nil {
		return err
	}
	if f.pdf != "" {
		err = writeNew(f.pdf, func(w io.Writer) error { return t.PDF(w, ticket.Form(f.form)) })
	}
	if f.svg != "" && err == nil {
		err = writeNew(f.svg, func(w io.Writer) error {
			_, err := io.WriteString(w, t.SVG(ticket.Form(f.form)))
			return err
		})
	}
	if f.pdf+f.svg == "" {
		_, err = io.WriteString(c.OutOrStdout(), t.Text(f.columns))
	}
	return err
}

// job is the one of the book that is meant.
func (f *ticketFlags) job(s *shop, args []string) (*book.Job, error) {
	if f.id > 0 {
		return s.book.Job(s.ctx, f.id)
	}
	done, err := s.book.Jobs(s.ctx, book.Filter{State: progress.Finished})
	if err != nil {
		return nil, err
	}
	var newest *book.Entry
	for i := range done {
		if done[i].File == key(args[0]) && (newest == nil || done[i].Last.After(newest.Last)) {
			newest = &done[i]
		}
	}
	if newest == nil {
		return nil, fmt.Errorf("%s: no finished job of this file is in the book; string it first, or name a job with --id (pullcard book list)", args[0])
	}
	return s.book.Job(s.ctx, newest.ID)
}

// facts are what the ticket tells. The book has the job's file; what only the layout says, the proportions of the picture,
// is left away when it has changed or gone.
func (f *ticketFlags) facts(s *shop, j *book.Job) ticket.Facts {
	facts := ticket.Facts{
		Number: j.ID, Player: j.Player, Racket: j.Racket, Stringer: f.stringer, Plan: j.Plan, Events: j.Events,
		PlaysAWeek: f.playsAWeek, Notes: f.notes,
	}
	if job, _, err := sequence.ReadJob(j.File, j.Source); err == nil {
		facts.Mains, facts.Crosses, facts.Machine = job.StringMains, job.StringCrosses, job.Machine
	}
	if w, err := readWork(j.File, j.Source); err == nil && w.plan.Plan == j.Fingerprint {
		facts.Hoop = w.frame.Hoop
	}
	f.fromBook(s, j, &facts)
	if f.readingValue > 0 {
		facts.Reading = &ticket.Reading{Value: f.readingValue, Unit: f.readingUnit}
	}
	return facts
}

// fromBook adds what the book knows beside the job, as it was when the job began: an old ticket stays as it was. What was
// said on the command line goes before it. What cannot be read is left away: the ticket goes with the racket all the same.
func (f *ticketFlags) fromBook(s *shop, j *book.Job, facts *ticket.Facts) {
	c, err := s.book.Card(s.ctx, j.UID)
	if err != nil {
		return
	}
	job := records.As[records.Job](c.Fields)
	was, err := s.book.RecordsAt(s.ctx, j.Made, compact([]string{job.Player, job.Racket, job.Machine, job.Stringer})...)
	if err != nil {
		return
	}
	player := records.As[records.Player](was[job.Player].Fields)
	facts.Stringer = cmp.Or(facts.Stringer, records.As[records.Stringer](was[job.Stringer].Fields).Name)
	facts.Player, facts.Racket = cmp.Or(player.Name, facts.Player), cmp.Or(records.As[records.Racket](was[job.Racket].Fields).Mark, facts.Racket)
	facts.Machine.Name = cmp.Or(records.As[records.Machine](was[job.Machine].Fields).Name, facts.Machine.Name)
	if set, _, err := job.Set.Both(); err == nil {
		if ordered, err := measure.ParseTension(c.Entry.Mains); err == nil {
			facts.Offset = set.Minus(ordered)
		}
	}
	if n, err := strconv.Atoi(player.Plays); err == nil && !f.playsGiven {
		facts.PlaysAWeek = float64(n)
	}
	if n := len(c.Readings); n > 0 {
		facts.Reading = readingOf(records.As[records.Reading](c.Readings[n-1].Fields))
	}
}

// readingOf is a reading of the book as a ticket tells it.
func readingOf(of records.Reading) *ticket.Reading {
	value, unit, _ := of.Value.Split()
	r := &ticket.Reading{Value: value, Unit: unit}
	if c, _, ok := of.Temperature.Split(); ok {
		r.Celsius = &c
	}
	if d, err := records.Duration(of.After); err == nil {
		r.After = d
	}
	return r
}

// writeNew writes a whole file or none, for its owner's eyes only; a file that is there stays.
func writeNew(path string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s is there already and stays as it is; name another file", path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w; name a file that can be written", path, err)
	}
	_, err = file.Write(b.Bytes())
	if err = errors.Join(err, file.Close()); err != nil {
		return fmt.Errorf("%s: %w", path, errors.Join(err, os.Remove(path)))
	}
	return nil
}
