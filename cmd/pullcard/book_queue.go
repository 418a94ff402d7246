package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookQueue() *cobra.Command {
	c := &cobra.Command{
		Use:   "queue",
		Short: "Which racket is next, when each is ready, and which will be late",
		Long: `Lists the jobs that are not finished in the order in which to string them: what
lies on the machine, then by what was promised. Each goes to its stringer and
machine or to the first that is free, within the hours of the settings. When it
will be ready comes from playing the queue some hundred times with the times of
the last rackets of each stringer, whose days differ: eight times in ten it is
within the range. It will be late where that is after the promise even in the
best one in ten, and may be where it is in the worst. A guess stands there until
three rackets are done.`,
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			p, err := s.Pace(c.Context())
			if err != nil {
				return err
			}
			list, err := s.Queue(c.Context())
			if err != nil {
				return err
			}
			away, err := s.Away(c.Context(), list)
			if err != nil {
				return err
			}
			return told(c, each(list), shop.TellQueue(p, list, away)) // in JSON it is the rackets alone: who is away scripts read of the stringers
		}),
	}
	jsonFlag(c)
	return c
}

func stockOrder() *cobra.Command {
	return &cobra.Command{
		Use:   "order",
		Short: "How long each string lasts at the pace of the last weeks, and what to order",
		Long: fmt.Sprintf(`Tells for each string of the stock how much is left, how much was cut a week over
the last %d weeks, %d at least. Where that lasts less than %d weeks it tells how many
reels or sets are missing for %d weeks after an order that takes %d weeks to come.
What a stocktaking found missing is no use.`, records.PaceWeeks, records.LeastPaceWeeks, records.OrderWeeks, records.OrderWeeks, records.OrderWeeks),
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			orders, err := s.Orders(c.Context())
			if err != nil {
				return err
			}
			return told(c, orders, shop.TellOrders(orders))
		}),
	}
}

func stockLabel() *cobra.Command {
	var prints bool
	c := &cobra.Command{
		Use: "label WHICH", Short: "A label for a reel or a box of sets", Args: cobra.ExactArgs(1), ValidArgsFunction: ofBook(records.KindStock),
		RunE: readingBook(onOne(records.KindStock, func(c *cobra.Command, s *shop.Shop, r book.Record) error {
			set, err := houseSettings()
			if err != nil {
				return err
			}
			text, err := s.ReelLabel(c.Context(), r.UID, set.Columns)
			if err == nil && prints {
				return printOut(c.Context(), text)
			}
			if err == nil {
				_, err = io.WriteString(c.OutOrStdout(), text)
			}
			return err
		})),
	}
	c.Flags().BoolVar(&prints, "print", false, "with the print command of the settings")
	return c
}
