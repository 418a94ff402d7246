package main

import (
	"fmt"

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
			out := c.OutOrStdout()
			fmt.Fprintf(out, "the book is as in %s\n", clean(args[0]))
			switch {
			case r.Damaged:
				fmt.Fprintf(out, "the book that was there is damaged and set aside as %s and the files that begin with that name\n", clean(r.Kept))
			case r.Kept != "":
				fmt.Fprintf(out, "the book that was there is kept in %s\n", clean(r.Kept))
			}
			if r.Forgotten > 0 {
				fmt.Fprintf(out, "%d forgotten players were in the copy and are forgotten again; the copy itself still holds their names\n", r.Forgotten)
			}
			return nil
		}),
	}
}
