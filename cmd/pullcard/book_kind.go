package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// kindCommand is the command of one kind of record: it lists, finds, adds, corrects, shows and removes.
func kindCommand(k records.Kind) *cobra.Command {
	c := &cobra.Command{
		Use:   string(k.Name) + " [LETTERS ...]",
		Short: strings.ToUpper(k.Plural[:1]) + k.Plural[1:] + ": " + k.Short,
		Long: fmt.Sprintf(`Lists the %s of the book, or those in whose names the letters occur. A record is
named by its number, its uid or letters of its name.`, k.Plural),
		Args: cobra.ArbitraryArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			list, err := s.Book.Find(c.Context(), k.Name, strings.Join(args, " "), 0)
			if err != nil {
				return err
			}
			return printRecords(c, s, k, list)
		}),
	}
	jsonFlag(c)
	c.PersistentFlags().Bool("csv", false, "as comma-separated values, which book import --csv takes in")
	c.AddCommand(kindFind(c), kindAdd(k), kindCorrect(k), kindShow(k), kindRemove(k), kindRecall(k))
	return c
}

// kindFind finds also what is called like one of the other commands.
func kindFind(parent *cobra.Command) *cobra.Command {
	return &cobra.Command{Use: "find [LETTERS ...]", Short: "Find by a few letters", Args: cobra.ArbitraryArgs, RunE: parent.RunE}
}

func kindAdd(k records.Kind) *cobra.Command {
	var read func(*cobra.Command, *shop.Shop) (records.Fields, error)
	var at string
	c := &cobra.Command{
		Use: "add", Short: "Add one", Args: cobra.NoArgs,
		RunE: withBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			now := s.Now()
			when, err := atFlag(at, now)
			fields, wrong := read(c, s)
			if err := errors.Join(err, wrong); err != nil {
				return err
			}
			r, err := s.Add(c.Context(), k.Name, fields, when)
			if err != nil {
				return err
			}
			return printRecords(c, s, k, []book.Record{r})
		}),
	}
	read = fieldFlags(c, k)
	c.Flags().StringVar(&at, "at", "", `when it happened, if not now, as "17:30" or "2031-05-04 17:30"`)
	return c
}

// onOne is the work of a command on one record of a kind, which somebody names.
func onOne(kind records.Name, work func(*cobra.Command, *shop.Shop, book.Record) error) func(*cobra.Command, *shop.Shop, []string) error {
	return func(c *cobra.Command, s *shop.Shop, args []string) error {
		r, err := s.Meant(c.Context(), kind, "", args[0])
		if err != nil {
			return err
		}
		return work(c, s, r)
	}
}

func kindCorrect(k records.Kind) *cobra.Command {
	var read func(*cobra.Command, *shop.Shop) (records.Fields, error)
	var why string
	c := &cobra.Command{
		Use: "correct WHICH", Short: "Correct one; what was there is kept beside it", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(k.Name),
		RunE: readingBook(onOne(k.Name, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			fields, err := read(c, s)
			if err == nil {
				r, err = s.Correct(c.Context(), r.UID, book.Change{Fields: fields, Why: why, At: s.Now()})
			}
			if err != nil {
				return err
			}
			return printRecords(c, s, k, []book.Record{r})
		})),
	}
	read = fieldFlags(c, k)
	c.Flags().StringVar(&why, "why", "", "why it is corrected")
	return c
}

func kindShow(k records.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "show WHICH", Short: "Show one with its corrections and what belongs to it", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(k.Name),
		RunE: readingBook(onOne(k.Name, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			p, err := s.Page(c.Context(), r.UID)
			if err != nil {
				return err
			}
			return told(c, p.JSON(), p.Tell()...)
		})),
	}
}

func kindRemove(k records.Kind) *cobra.Command {
	var yes bool
	c := &cobra.Command{
		Use: "remove WHICH", Short: "Remove one from every list; the book still has it", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(k.Name),
		RunE: readingBook(onOne(k.Name, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			return s.Remove(c.Context(), r.UID, yes)
		})),
	}
	c.Flags().BoolVar(&yes, "yes", false, "yes, also where others hang on it")
	return c
}

func kindRecall(k records.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "recall WHICH", Short: "Bring one back that was removed, by its number", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(k.Name),
		RunE: readingBook(onOne(k.Name, func(c *cobra.Command, s *shop.Shop, r book.Record) error { return s.Book.Recall(c.Context(), r.UID) })),
	}
}

// fieldFlags gives a command a flag for each field, and returns what reads those that were given.
func fieldFlags(c *cobra.Command, k records.Kind) func(*cobra.Command, *shop.Shop) (records.Fields, error) {
	values := map[string]*string{}
	var from string
	switch k.Name {
	case records.KindJob:
		c.Flags().StringVar(&from, "from", "", "the job file from which it will be strung")
	case records.KindFrame, records.KindSheet:
		c.Flags().StringVar(&from, "from", "", "the file whose text the house keeps; the book needs the file no more")
	}
	for _, f := range k.Fields {
		if f.Whole || f.File || f.Derived || f.Asked {
			continue // --from, the program or --because brings them
		}
		help := f.Help
		if f.Label != f.Key { // as the screens call it
			help = f.Label + ": " + help
		}
		if f.Of != "" {
			help += "; a number or letters of the name"
		}
		values[f.Key] = c.Flags().String(f.Key, "", help)
		completeField(c, f)
	}
	because := func() string { return "" }
	reason, doubted := k.Reason()
	if doubted {
		because = sureFlags(c)
	}
	return func(c *cobra.Command, s *shop.Shop) (records.Fields, error) {
		fields := records.Fields{}
		if why := because(); why != "" {
			fields[reason.Key] = why
		}
		var wrong []error
		for _, f := range k.Fields {
			if values[f.Key] == nil || !c.Flags().Changed(f.Key) {
				continue
			}
			text := *values[f.Key]
			if f.Of != "" && text != "" {
				r, err := s.Meant(c.Context(), f.Of, fields[owner(f.Of)], text)
				if err != nil {
					wrong = append(wrong, fmt.Errorf("--%s: %w", f.Key, err))
				}
				text = r.UID
			}
			fields[f.Key] = text
		}
		switch {
		case from == "":
		case k.Name != records.KindJob:
			var r records.Sheet // a frame has the same fields
			fields[records.Key(&r, &r.File)] = from
		default:
			var err error
			fields, err = records.Amend(fields, func(j *records.Job) error { return s.JobFile(c.Context(), from, j) })
			wrong = append(wrong, err)
		}
		return fields, errors.Join(wrong...)
	}
}

// owner is the field that says whose the records of a kind are.
func owner(n records.Name) string {
	k, _ := records.Find(n)
	return cmp.Or(k.Owner, "none")
}

// atFlag is when something happened that is written down now: never later than now, but for a minute that a clock may be behind.
func atFlag(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return now, nil
	}
	at, err := records.When(text, now)
	if err == nil && at.After(now.Add(time.Minute)) {
		err = fmt.Errorf("--at %s has not come yet; write the day too where it was an earlier one, as \"yesterday 17:30\"", text)
	}
	return at, err
}

// printRecords prints a list of records of one kind.
func printRecords(c *cobra.Command, s *shop.Shop, k records.Kind, list []book.Record) error {
	items, err := s.Items(c.Context(), list)
	if err != nil {
		return err
	}
	if csv, err := c.Flags().GetBool("csv"); err == nil && csv {
		return shop.WriteTable(c.OutOrStdout(), k, items)
	}
	return told(c, each(items), shop.TellList(k, items))
}
