package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

// kindCommand is the command of one kind of record: it lists, finds, adds, corrects, shows and removes.
func kindCommand(k records.Kind) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   string(k.Name) + " [LETTERS ...]",
		Short: strings.ToUpper(k.Plural[:1]) + k.Plural[1:] + ": " + k.Short,
		Long: fmt.Sprintf(`Lists the %s of the book, or those in whose names the letters occur. A record is
named by its number, its uid or letters of its name.`, k.Plural),
		Args: cobra.ArbitraryArgs,
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				list, err := s.book.Find(c.Context(), k.Name, strings.Join(args, " "), 0)
				if err != nil {
					return err
				}
				return s.printRecords(c, k, list, asJSON)
			})
		}),
	}
	c.PersistentFlags().BoolVar(&asJSON, "json", false, "as JSON")
	c.AddCommand(kindFind(c), kindAdd(k, &asJSON), kindCorrect(k, &asJSON), kindShow(k, &asJSON), kindRemove(k), kindRecall(k))
	return c
}

// kindFind finds also what is called like one of the other commands.
func kindFind(parent *cobra.Command) *cobra.Command {
	return &cobra.Command{Use: "find [LETTERS ...]", Short: "Find by a few letters", Args: cobra.ArbitraryArgs, RunE: parent.RunE}
}

func kindAdd(k records.Kind, asJSON *bool) *cobra.Command {
	var read func(*cobra.Command, *shop) (records.Fields, error)
	var at string
	c := &cobra.Command{
		Use: "add", Short: "Add one", Args: cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, _ []string) error {
			return withBook(c, func(s *shop) error {
				now := time.Now()
				when, err := atFlag(at, now)
				fields, wrong := read(c, s)
				if err := errors.Join(err, wrong); err != nil {
					return err
				}
				r, err := s.add(k.Name, fields, when)
				if err != nil {
					return err
				}
				return s.printRecords(c, k, []book.Record{r}, *asJSON)
			})
		}),
	}
	read = fieldFlags(c, k)
	c.Flags().StringVar(&at, "at", "", `when it happened, if not now, as "17:30" or "2031-05-04 17:30"`)
	return c
}

func kindCorrect(k records.Kind, asJSON *bool) *cobra.Command {
	var read func(*cobra.Command, *shop) (records.Fields, error)
	var why string
	c := &cobra.Command{
		Use: "correct WHICH", Short: "Correct one; what was there is kept beside it", Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				r, err := s.book.One(c.Context(), k.Name, args[0])
				if err != nil {
					return err
				}
				fields, err := read(c, s)
				if err == nil {
					r, err = s.correct(r.UID, book.Change{Fields: fields, Why: why, At: time.Now()})
				}
				if err != nil {
					return err
				}
				return s.printRecords(c, k, []book.Record{r}, *asJSON)
			})
		}),
	}
	read = fieldFlags(c, k)
	c.Flags().StringVar(&why, "why", "", "why it is corrected")
	return c
}

func kindShow(k records.Kind, asJSON *bool) *cobra.Command {
	return &cobra.Command{
		Use: "show WHICH", Short: "Show one with its corrections and what belongs to it", Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				r, err := s.book.One(c.Context(), k.Name, args[0])
				if err != nil {
					return err
				}
				p, err := s.page(r.UID)
				if err != nil {
					return err
				}
				if *asJSON {
					return writeJSON(c.OutOrStdout(), p)
				}
				return writePage(c.OutOrStdout(), p)
			})
		}),
	}
}

func kindRemove(k records.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "remove WHICH", Short: "Remove one from every list; the book still has it", Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				r, err := s.book.One(c.Context(), k.Name, args[0])
				if err != nil {
					return err
				}
				return s.book.Leave(c.Context(), r.UID)
			})
		}),
	}
}

func kindRecall(k records.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "recall WHICH", Short: "Bring one back that was removed, by its number", Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return readingBook(c, func(s *shop) error {
				r, err := s.book.One(c.Context(), k.Name, args[0])
				if err != nil {
					return err
				}
				return s.book.Take(c.Context(), r.UID)
			})
		}),
	}
}

// fieldFlags gives a command a flag for each field, and returns what reads those that were given.
func fieldFlags(c *cobra.Command, k records.Kind) func(*cobra.Command, *shop) (records.Fields, error) {
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
	}
	return func(c *cobra.Command, s *shop) (records.Fields, error) {
		fields := records.Fields{}
		var wrong []error
		for _, f := range k.Fields {
			if values[f.Key] == nil || !c.Flags().Changed(f.Key) {
				continue
			}
			text := *values[f.Key]
			if f.Of != "" && text != "" {
				r, err := s.book.One(c.Context(), f.Of, text)
				if err != nil {
					wrong = append(wrong, fmt.Errorf("--%s: %w", f.Key, err))
				}
				text = r.UID
			}
			fields[f.Key] = text
		}
		if from != "" {
			var err error
			fields, err = records.Amend(fields, func(j *records.Job) error { return s.jobFile(from, j) })
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
func (s *shop) printRecords(c *cobra.Command, k records.Kind, list []book.Record, asJSON bool) error {
	named := make([]namedRecord, len(list))
	for i, r := range list {
		names, err := s.names(r)
		if err != nil {
			return err
		}
		named[i] = namedRecord{r, names}
	}
	if asJSON {
		return writeJSON(c.OutOrStdout(), named)
	}
	return writeRecords(c.OutOrStdout(), k, named)
}

// namedRecord is a record with the names of those that its fields refer to.
type namedRecord struct {
	book.Record
	Names records.Fields `json:"names,omitempty"`
}

// field is what a field shows to people.
func (r namedRecord) field(f records.Field) string {
	text := r.Fields[f.Key]
	if f.Of != "" && text != "" {
		text = r.Names[f.Key]
	}
	text, _, _ = strings.Cut(text, "\n")
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		text = at.Local().Format("2006-01-02 15:04")
	}
	return clean(text)
}

func writeRecords(w io.Writer, k records.Kind, list []namedRecord) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	shown := shownFields(k, list)
	fmt.Fprint(t, k.Name, "\tsince")
	for _, f := range shown {
		fmt.Fprint(t, "\t", f.Label)
	}
	fmt.Fprintln(t)
	for _, r := range list {
		fmt.Fprintf(t, "%d\t%s", r.ID, r.At.Local().Format("2006-01-02 15:04"))
		for _, f := range shown {
			fmt.Fprint(t, "\t", r.field(f))
		}
		fmt.Fprintln(t)
	}
	return t.Flush()
}

// shownFields are the fields that a list needs: those that anybody filled in, but for long text.
func shownFields(k records.Kind, list []namedRecord) []records.Field {
	var shown []records.Field
	for _, f := range k.Fields {
		for _, r := range list {
			if r.Fields[f.Key] != "" && !f.Whole && !f.File {
				shown = append(shown, f)
				break
			}
		}
	}
	return shown
}
