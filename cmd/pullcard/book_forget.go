package main

import (
	"errors"

	"github.com/spf13/cobra"

	"pullcard/sequence/shop"
)

func bookForget() *cobra.Command {
	var yes bool
	c := &cobra.Command{
		Use:   "forget WHO --yes",
		Short: "Take everything out of the book that says who a player or a stringer is",
		Long: `Takes out of the book for good what says who a player is, and what their
rackets, lots, jobs, readings and answers say of them, or who a stringer is; what
was strung stays, without a name. WHO is a name or, where it may be either, "player
3" or "stringer 2". The name stays where records of something else say it and in
the names of frames and sheets that plans were made of; these are listed. It cannot
be taken back. Without --yes it only says what would go.`,
		Args: cobra.ExactArgs(1),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			p, err := s.Person(c.Context(), args[0])
			if err != nil {
				return err
			}
			if !yes {
				would, err := s.WouldForget(c.Context(), p)
				if err != nil {
					return err
				}
				say(c, "%s", would)
				return misuse{errors.New("nothing is forgotten yet; --yes does it, and it cannot be taken back")}
			}
			done, err := s.Forget(c.Context(), p)
			if err != nil {
				return err
			}
			return told(c, nil, done)
		}),
	}
	c.Flags().BoolVar(&yes, "yes", false, "do it")
	return c
}
