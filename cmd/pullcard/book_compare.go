package main

import (
	"github.com/spf13/cobra"

	"pullcard/sequence/shop"
)

func machineCompare() *cobra.Command {
	var racket string
	var last int
	c := &cobra.Command{
		Use:   "compare WHICH WHICH [WHICH ...]",
		Short: "Do machines string alike",
		Long: `Compares the readings of the rackets strung on two machines or more, a stringing
each, by one instrument and at one age: the difference in kg of ordered tension
with its interval. Frames and strings that differ are taken into account, and so
is what rackets differ by that were strung repeatedly; with none of that it is
Welch's t. --racket takes only a control racket that was strung on all of them.
An offset is only ever proposed, where the gauge bears it out; a person accepts
it with pullcard book machine correct WHICH --offset ... --accepted NAME.`,
		Args: cobra.MinimumNArgs(2),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			out, err := s.Compare(c.Context(), args, racket, last)
			if err != nil {
				return err
			}
			return told(c, out, out.Tell())
		}),
	}
	c.Flags().StringVar(&racket, "racket", "", "only this control racket, strung on all the machines")
	c.Flags().IntVar(&last, "last", 400, "look at the newest so many readings of the book; 0 for all")
	return c
}
