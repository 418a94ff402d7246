package main

import (
	"github.com/spf13/cobra"

	"pullcard/sequence/book"
)

func bookRestore() *cobra.Command {
	return &cobra.Command{
		Use:   "restore FILE",
		Short: "Put a copy back in the place of the book, which is kept beside it",
		Long: `Puts a copy that pullcard book backup made in the place of the book. The copy is
proven to be whole first. The book that is there is kept beside it under a name
with the time; one that is damaged is set aside as it is.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			r, err := book.Restore(c.Context(), bookPath(c), args[0], clock())
			if err != nil {
				return err
			}
			return told(c, nil, r.Tell(args[0]))
		}),
	}
}
