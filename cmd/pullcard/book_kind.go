package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
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
		r, err := s.Book.One(c.Context(), kind, args[0])
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
			return reply(c, p.JSON(), func(out io.Writer) { writePage(out, k, p) })
		})),
	}
}

func kindRemove(k records.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "remove WHICH", Short: "Remove one from every list; the book still has it", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(k.Name),
		RunE: readingBook(onOne(k.Name, func(c *cobra.Command, s *shop.Shop, r book.Record) error { return s.Book.Remove(c.Context(), r.UID) })),
	}
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
	if k.Name == records.KindJob {
		c.Flags().StringVar(&from, "from", "", "the job file from which it will be strung")
	}
	for _, f := range k.Fields {
		if f.Whole || f.File {
			continue // --from brings them
		}
		help := f.Help
		if f.Of != "" {
			help += "; a number or letters of the name"
		}
		values[f.Key] = c.Flags().String(f.Key, "", help)
		completeField(c, f)
	}
	return func(c *cobra.Command, s *shop.Shop) (records.Fields, error) {
		fields := records.Fields{}
		var wrong []error
		for _, f := range k.Fields {
			if values[f.Key] == nil || !c.Flags().Changed(f.Key) {
				continue
			}
			text := *values[f.Key]
			if f.Of != "" && text != "" {
				r, err := s.Book.One(c.Context(), f.Of, text)
				if err != nil {
					wrong = append(wrong, fmt.Errorf("--%s: %w", f.Key, err))
				}
				text = r.UID
			}
			fields[f.Key] = text
		}
		if from != "" {
			var err error
			fields, err = records.Amend(fields, func(j *records.Job) error { return s.JobFile(c.Context(), from, j) })
			wrong = append(wrong, err)
		}
		return fields, errors.Join(wrong...)
	}
}

// atFlag is when something happened that is written down now.
func atFlag(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return now, nil
	}
	at, err := records.When(text, now)
	if err == nil && at.After(now.Add(24*time.Hour)) {
		err = fmt.Errorf("--at %s has not come yet", text)
	}
	return at, err
}

// printRecords prints a list of records of one kind.
func printRecords(c *cobra.Command, s *shop.Shop, k records.Kind, list []book.Record) error {
	items, err := s.Items(c.Context(), list)
	if err != nil {
		return err
	}
	return reply(c, each(items), func(w io.Writer) { writeRecords(w, k, items) })
}

func writeRecords(w io.Writer, k records.Kind, list []shop.Item) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	shown := shownFields(k, list)
	fmt.Fprint(t, k.Name, "\tsince")
	for _, f := range shown {
		fmt.Fprint(t, "\t", f.Label)
	}
	fmt.Fprintln(t)
	for _, it := range list {
		fmt.Fprintf(t, "%d\t%s", it.ID, minute(it.At))
		for _, f := range shown {
			fmt.Fprint(t, "\t", clean(it.Says(f)))
		}
		fmt.Fprintln(t)
	}
	t.Flush()
}

// minute is a time as lists print it.
func minute(at time.Time) string { return at.Local().Format("2006-01-02 15:04") }

// shownFields are the fields that a list needs: those that anybody filled in, but for long text.
func shownFields(k records.Kind, list []shop.Item) []records.Field {
	return slices.DeleteFunc(slices.Clone(k.Fields), func(f records.Field) bool {
		return f.Whole || f.File || !slices.ContainsFunc(list, func(it shop.Item) bool { return it.Fields[f.Key] != "" })
	})
}

func writePage(w io.Writer, k records.Kind, p shop.Page) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s %d\t%s\n", p.Kind, p.ID, clean(p.Label()))
	fmt.Fprintf(t, "since\t%s\n", minute(p.At))
	if p.State != book.Kept {
		fmt.Fprintf(t, "state\t%s\n", map[book.RecordState]string{book.Removed: "removed", book.Forgotten: "forgotten"}[p.State])
	}
	for _, f := range k.Fields {
		if text := p.Says(f); text != "" && !f.Whole {
			fmt.Fprintf(t, "%s\t%s\n", f.Label, clean(text))
		}
	}
	t.Flush()
	for _, c := range p.Corrections {
		fmt.Fprintf(w, "until %s %s\n", minute(c.At), clean(changed(k, c, p.Fields)))
	}
	for _, s := range p.Below {
		fmt.Fprintf(w, "\n%s\n", s.Title)
		for _, l := range s.Lines {
			fmt.Fprintf(w, "  %s\n", clean(l.Text))
		}
	}
}

// changed tells what a record said before a correction where it says something else now.
func changed(k records.Kind, c book.Correction, now records.Fields) string {
	var words []string
	for _, f := range k.Fields {
		if c.Before[f.Key] == now[f.Key] || f.Of != "" && c.Before[f.Key] != "" {
			continue
		}
		words = append(words, f.Label+" "+cmp.Or(c.Before[f.Key], "empty"))
	}
	text := strings.Join(words, ", ")
	if c.Why != "" {
		text += " (" + c.Why + ")"
	}
	return text
}
