package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
)

func bookForget() *cobra.Command {
	var yes bool
	c := &cobra.Command{
		Use:   "forget PLAYER --yes",
		Short: "Take everything out of the book that says who a player is",
		Long: `Takes a player's name, contact and notes out of the book for good, and what their
rackets, lots, jobs, readings and answers say of them; what was strung stays,
without a name. It cannot be taken back. Without --yes it only says what would go.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return withOldBook(c, func(b *book.Book) error {
				p, err := b.One(c.Context(), records.KindPlayer, args[0])
				if err != nil {
					return err
				}
				if !yes {
					return wouldForget(c, b, p)
				}
				return forget(c, b, p)
			})
		}),
	}
	c.Flags().BoolVar(&yes, "yes", false, "do it")
	return c
}

func wouldForget(c *cobra.Command, b *book.Book, p book.Record) error {
	n, err := b.Concerns(c.Context(), p.UID)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.OutOrStdout(), "player %d, %s, would be forgotten: name, contact, notes, and what says who it was in %s\n", p.ID, clean(p.Label()), records.Counted(n))
	return misuse{errors.New("nothing is forgotten yet; --yes does it, and it cannot be taken back")}
}

func forget(c *cobra.Command, b *book.Book, p book.Record) error {
	n, err := b.Forget(c.Context(), p.UID)
	if err != nil {
		return err
	}
	out := c.OutOrStdout()
	fmt.Fprintf(out, "player %d is forgotten, and what said who it was in %s\n", p.ID, records.Counted(n))
	fmt.Fprintln(out, "copies, exports and job files made before still hold the name; delete them")
	kept, err := filepath.Glob(pattern(bookPath(c)) + "-before-*")
	if err != nil {
		return err
	}
	for _, path := range kept {
		fmt.Fprintf(out, "    %s\n", clean(path))
	}
	return nil
}

// pattern is a pattern that only this path matches.
func pattern(path string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path)
}
