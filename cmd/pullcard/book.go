package main

import (
	"errors"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
)

func bookCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "book",
		Short: "The record book: list it, take it out",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return errors.New("what of the book: pullcard book list, or pullcard book export")
		},
	}
	c.AddCommand(bookList(), bookExport())
	return c
}

func bookList() *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the jobs of the book, those in progress first, the newest first",
		Args:  cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, args []string) error {
			return withBook(c, func(s *shop) error {
				jobs, err := s.book.Jobs(c.Context(), book.Filter{})
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
			})
		}),
	}
}

func bookExport() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "export --json",
		Short: "Print every job with its events",
		Args:  cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, args []string) error {
			return withBook(c, func(s *shop) error { return s.book.Export(c.Context(), c.OutOrStdout()) })
		}),
	}
	c.Flags().BoolVar(&asJSON, "json", true, "as JSON, the only form there is")
	return c
}
