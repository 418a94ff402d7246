package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
)

func bookCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Check that the book is sound",
		Long: `Reads every page of the book, holds every job against its events and every record
against its kind. Changes nothing.`,
		Args: cobra.NoArgs,
		RunE: failing(func(c *cobra.Command, _ []string) error {
			return withOldBook(c, func(b *book.Book) error {
				r, err := b.Check(c.Context(), progressOf(c, "jobs and records"))
				if err != nil {
					return err
				}
				if len(r.Findings) > 0 {
					return errors.New(strings.Join(r.Findings, "\n"))
				}
				fmt.Fprintf(c.OutOrStdout(), "the book is sound: %d jobs, %d events, %d records\n", r.Jobs, r.Events, r.Records)
				return nil
			})
		}),
	}
}
