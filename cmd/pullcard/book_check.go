package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/sequence/shop"
)

func bookCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Check that the book is sound",
		Long: `Reads every page of the book, holds every job against its events, every record
against its kind, and all of it against the chain of hashes over what was written,
so that it finds what the disk changed by itself. Changes nothing.

It cannot see whether the book lies in a folder that a program copies to other
machines. Such a folder is not safe: two copies soon differ, and one is lost.`,
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			r, err := s.Book.Check(c.Context(), progressOf(c, "jobs and records"))
			if err != nil {
				return err
			}
			if len(r.Findings) > 0 {
				return errors.New(strings.Join(r.Findings, "\n"))
			}
			say(c, "the book is sound: %d jobs, %d events, %d records", r.Jobs, r.Events, r.Records)
			waiting, err := s.Book.Unfit(c.Context())
			if len(waiting) > 0 {
				say(c, "%d changes of other benches are kept beside them and wait, for others to come or for a newer program; a round with the room tries them again", len(waiting))
			}
			return err
		}),
	}
}
