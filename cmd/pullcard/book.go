package main

import (
	"errors"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "book",
		Short: "The record book: players, rackets, strings, jobs, lots, readings, verdicts",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return errors.New("what of the book; pullcard book --help lists it")
		},
	}
	c.AddCommand(bookList(), bookExport(), bookQueue(), bookChart(), bookFeel(),
		bookBackup(), bookRestore(), bookCheck(), bookImport(), bookSame(), bookForget())
	for _, k := range records.Kinds() {
		of := kindCommand(k)
		switch k.Name {
		case records.KindStock:
			of.AddCommand(stockOrder())
		case records.KindLot:
			of.AddCommand(lotFill(), lotSuggest(), lotDecide())
		case records.KindMachine:
			of.AddCommand(machineCompare())
		}
		c.AddCommand(of)
	}
	return c
}

func bookList() *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the jobs of the book, those in progress first, the newest first",
		Args:  cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			jobs, err := s.Book.Jobs(c.Context(), book.Filter{})
			if err != nil {
				return err
			}
			t := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(t, "job\tplayer\tracket\tframe\ttechnique\tplan\tstate\tstep\tlast touched")
			for _, j := range jobs {
				fmt.Fprintf(t, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%d of %d\t%s\n", j.ID, clean(j.Player), clean(j.Racket), clean(j.Frame),
					clean(j.Technique), j.Fingerprint, j.State, j.Step, j.Steps, j.Last.Local().Format("2006-01-02 15:04"))
			}
			return t.Flush()
		}),
	}
}

func bookExport() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "export [--json | FILE]",
		Short: "Print every job with its events, or write everything into a new file",
		Long: `Prints every job with its events as JSON. With a FILE everything in the book goes
there as lines of JSON, which pullcard book import takes in elsewhere.`,
		Args: cobra.MaximumNArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return exportWhole(c, args[0])
			}
			return inOldBook(c, func(s *shop.Shop) error { return s.Book.Export(c.Context(), c.OutOrStdout()) })
		}),
	}
	c.Flags().BoolVar(&asJSON, "json", true, "as JSON, the only form there is")
	return c
}
