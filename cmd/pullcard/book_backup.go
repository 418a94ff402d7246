package main

import (
	"fmt"
	"os"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"pullcard/sequence/shop"
)

func bookBackup() *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the book into a new file; the bench may work on",
		Long: `Copies the whole book, as it is at one moment, into one new file that is proven
to be whole before it gets its name. Nobody waits for it. A file that is there
stays as it is. pullcard book restore FILE puts the copy back.`,
		Args: cobra.ExactArgs(1),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			if err := s.Book.Backup(c.Context(), args[0], progressOf(c, "pages")); err != nil {
				return err
			}
			say(c, "%s is a whole copy of the book", args[0])
			return nil
		}),
	}
}

// progressOf tells somebody who watches how far a long work is.
func progressOf(c *cobra.Command, what string) func(done, total int) {
	if f, ok := c.ErrOrStderr().(*os.File); !ok || !term.IsTerminal(f.Fd()) {
		return nil
	}
	return func(done, total int) {
		fmt.Fprintf(c.ErrOrStderr(), "\r%d of %d %s", done, total, what)
		if done == total {
			fmt.Fprintln(c.ErrOrStderr())
		}
	}
}
