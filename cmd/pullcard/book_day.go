package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookDay() *cobra.Command {
	c := &cobra.Command{
		Use:   "day [DAY]",
		Short: "What was strung and handed over on a day, and what it came to",
		Args:  cobra.MaximumNArgs(1),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			at := s.Now()
			var err error
			if len(args) > 0 {
				at, err = records.When(args[0], at)
			}
			if err != nil {
				return err
			}
			d, err := s.Day(c.Context(), at)
			if err != nil {
				return err
			}
			return told(c, d, d.Tell())
		}),
	}
	jsonFlag(c)
	return c
}

func bookDue() *cobra.Command {
	var until string
	c := &cobra.Command{
		Use:   "due",
		Short: "Which rackets should be strung anew",
		Long: `Lists the rackets whose date to restring has come and that do not wait already, each
with when it was strung last. The date is common practice and no promise: as many
times a year as the player plays in a week.`,
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			at := s.Now()
			var err error
			if until != "" {
				at, err = records.When(until, at)
			}
			if err != nil {
				return fmt.Errorf("--until: %w", err)
			}
			list, err := s.Due(c.Context(), at)
			if err != nil {
				return err
			}
			return told(c, list, shop.TellDue(list))
		}),
	}
	c.Flags().StringVar(&until, "until", "", `those that are due until a day, as "2031-05-04"; today when left away`)
	jsonFlag(c)
	return c
}

func jobHand() *cobra.Command {
	var to, at string
	var paid bool
	c := &cobra.Command{
		Use: "hand WHICH", Short: "Note that a strung racket was handed over", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(records.KindJob),
		RunE: readingBook(onOne(records.KindJob, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			when, err := atFlag(at, s.Now())
			if err != nil {
				return err
			}
			if r, err = s.HandOver(c.Context(), r.UID, to, paid, when); err != nil {
				return err
			}
			return printJobs(c, s, []book.Record{r})
		})),
	}
	c.Flags().StringVar(&to, "to", "", "who fetched it")
	c.Flags().BoolVar(&paid, "paid", false, "it is paid")
	c.Flags().StringVar(&at, "at", "", "when, if not now")
	return c
}

func jobStrung() *cobra.Command {
	var at, why string
	c := &cobra.Command{
		Use: "strung WHICH", Short: "Enter a job that waits as strung: elsewhere, or written down on paper", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(records.KindJob),
		RunE: readingBook(onOne(records.KindJob, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			when, err := atFlag(at, s.Now())
			if err == nil {
				err = s.EnterStrung(c.Context(), r.UID, why, when)
			}
			if err == nil {
				r, err = s.Book.Record(c.Context(), r.UID)
			}
			if err != nil {
				return err
			}
			return printJobs(c, s, []book.Record{r})
		})),
	}
	c.Flags().StringVar(&at, "at", "", "when it was strung, if not now")
	c.Flags().StringVar(&why, "why", "", `where, or why afterwards, as "elsewhere"`)
	return c
}
