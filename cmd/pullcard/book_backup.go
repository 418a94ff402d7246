package main

import (
	"fmt"
	"os"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"pullcard/sequence/book"
)

func bookBackup() *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the book into a new file; the bench may work on",
		Long: `Copies the whole book, as it is at one moment, into one new file that is proven
to be whole before it gets its name. Nobody waits for it. A file that is there
stays as it is. pullcard book restore FILE puts the copy back.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return withOldBook(c, func(b *book.Book) error {
				if err := b.Backup(c.Context(), args[0], progressOf(c, "pages")); err != nil {
					return err
				}
				fmt.Fprintf(c.OutOrStdout(), "%s is a whole copy of the book\n", clean(args[0]))
				return nil
			})
		}),
	}
}

// exportWhole writes everything in the book into a new file. It never goes to the standard output: it says who the players
// are.
func exportWhole(c *cobra.Command, path string) error {
	return withOldBook(c, func(b *book.Book) error {
		if err := b.ExportAll(c.Context(), path, progressOf(c, "lines")); err != nil {
			return err
		}
		fmt.Fprintf(c.OutOrStdout(), "%s has everything in the book; pullcard book import takes it in elsewhere\n", clean(path))
		return nil
	})
}

// withOldBook opens a book that is there for the time of some work.
func withOldBook(c *cobra.Command, work func(*book.Book) error) error {
	b, err := book.OpenOld(c.Context(), bookPath(c))
	if err != nil {
		return err
	}
	if err := work(b); err != nil {
		_ = b.Close() // the first error says more
		return err
	}
	return b.Close()
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
