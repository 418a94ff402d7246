package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookQueue() *cobra.Command {
	c := &cobra.Command{
		Use:   "queue",
		Short: "Which racket is next, when each is ready, and which will be late",
		Long: `Lists the jobs that are not finished in the order in which to string them: what
lies on the machine, then by what was promised. When each will be ready follows
from the pace of the last rackets of the stringer (--stringer), phase by phase:
the median, and the quartiles as the range. A guess stands there until three
rackets are done.`,
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			p, err := s.Pace(c.Context())
			if err != nil {
				return err
			}
			list, err := s.Queue(c.Context(), p)
			if err != nil {
				return err
			}
			return reply(c, each(list), func(w io.Writer) {
				fmt.Fprintln(w, "a racket takes "+p.String())
				t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
				for _, q := range list {
					state := "waits"
					switch {
					case q.Slot.Parked:
						state = "parked"
					case q.Slot.Begun:
						state = "in work"
					}
					fmt.Fprintf(t, "job %d\t%s\t%s\t%s\n", q.ID, state, clean(q.Title), q.Slot)
				}
				t.Flush()
			})
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
the last %d weeks, and how many reels or sets to order so that there is enough
for %d weeks after an order that takes %d weeks to come.`, records.Weeks, records.Lead, records.Lead),
		Args: cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			orders, err := s.Orders(c.Context())
			if err != nil {
				return err
			}
			return reply(c, orders, func(w io.Writer) { writeOrders(w, orders) })
		}),
	}
}

func writeOrders(w io.Writer, orders []records.Order) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "string\tleft\ta week\tlasts\torder")
	for _, o := range orders {
		lasts, order := "not used", "–"
		if o.Weeks != nil {
			lasts = fmt.Sprintf("%.1f weeks", *o.Weeks)
		}
		if o.Pieces > 0 {
			order = fmt.Sprintf("%d × %s of %s", o.Pieces, o.Form, shop.Metres(o.PieceM*1000))
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", clean(o.Name), shop.Metres(o.LeftM*1000), shop.Metres(o.WeeklyM*1000), lasts, order)
	}
	t.Flush()
}
