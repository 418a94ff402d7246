package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// group is a command that only holds others.
func group(use, short, long string, of ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use, Short: short, Long: long, Args: cobra.NoArgs, RunE: func(*cobra.Command, []string) error {
		return fmt.Errorf("what of the %s; pullcard %s --help lists it", use, use)
	}}
	c.AddCommand(of...)
	return c
}

// bookCommand is the command of the book, with those below it or without.
func bookCommand(whole bool) *cobra.Command {
	c := group("book", "The record book: players, rackets, strings, jobs, lots, readings, verdicts", "")
	if !whole {
		return c
	}
	c.AddCommand(bookList(), bookExport(), bookQueue(), bookDay(), bookDue(), bookChart(), bookFeel(),
		bookBackup(), bookRestore(), bookCheck(), bookImport(), bookSame(), bookForget())
	for _, k := range records.Kinds() {
		of := kindCommand(k)
		switch k.Name {
		case records.KindStock:
			of.AddCommand(stockOrder(), stockLabel())
		case records.KindJob:
			of.AddCommand(jobHand(), jobStrung())
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
			return told(c, nil, shop.TellJobs(jobs))
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
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			if len(args) == 0 {
				return s.Book.Export(c.Context(), c.OutOrStdout())
			}
			// Never to the standard output: it says who the players are.
			if err := s.Book.ExportAll(c.Context(), args[0], progressOf(c, "lines")); err != nil {
				return err
			}
			say(c, "%s has everything in the book; pullcard book import takes it in elsewhere", args[0])
			return nil
		}),
	}
	c.Flags().BoolVar(&asJSON, "json", true, "as JSON, the only form there is")
	return c
}
