package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookImport() *cobra.Command {
	var csv string
	var because func() string
	c := &cobra.Command{
		Use:   "import FILE [--csv FILE KIND]",
		Short: "Take in the book of another bench, or its export",
		Long: `Takes in another book, or what pullcard book export FILE wrote of one. Of what was
changed in both, what was said last counts, and it is listed until you correct it;
what was done at one job in both is kept as two attempts. Conflicts end it with status 3. All of it is tried on a copy first; when that fails nothing is changed.
The bench may work on meanwhile. To import a file again changes nothing.`,
		Args: cobra.ExactArgs(1),
		RunE: withBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			if csv != "" {
				return importTable(c, s, csv, args[0], because())
			}
			m, err := s.Book.Import(c.Context(), args[0], s.Now(), importProgress(c))
			if err != nil {
				return untouched{err}
			}
			if err := told(c, m, m.Tell()); err != nil || len(m.Conflicts) == 0 {
				return err
			}
			return undecided{errors.New("conflicts to be decided")}
		}),
	}
	jsonFlag(c)
	c.Flags().StringVar(&csv, "csv", "", "a table of comma-separated values; then what it has is named: player, racket or stock")
	because = sureFlags(c)
	return c
}

// importTable takes in a table of players, rackets or stock.
func importTable(c *cobra.Command, s *shop.Shop, file, kind, because string) error {
	k, ok := records.Find(records.Name(kind))
	if !ok || k.Name != records.KindPlayer && k.Name != records.KindRacket && k.Name != records.KindStock {
		return misuse{fmt.Errorf("a table of %q cannot be taken in; name player, racket or stock", kind)}
	}
	data, err := readAsked(c, file)
	if err != nil {
		return untouched{err}
	}
	list, err := s.TakeTable(c.Context(), file, data, k, because)
	if err != nil {
		return untouched{err}
	}
	return printRecords(c, s, k, list)
}

// importProgress tells somebody who watches how far an import is.
func importProgress(c *cobra.Command) func(what string, done, total int) {
	if progressOf(c, "") == nil {
		return nil
	}
	return func(what string, done, total int) {
		if total == 0 {
			fmt.Fprintf(c.ErrOrStderr(), "\r%s: %d", what, done)
			return
		}
		progressOf(c, what)(done, total)
	}
}

func bookSame() *cobra.Command {
	return &cobra.Command{
		Use:   "same PLAYER OTHER",
		Short: "Say that two players are one",
		Long: `Gives the first player what belongs to the other, who is removed. The records
that change hands keep beside them whose they were.`,
		Args: cobra.ExactArgs(2),
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			n, player, other, err := s.MergePlayers(c.Context(), args[0], args[1])
			if err == nil {
				say(c, "player %d has %d records more; player %d is removed", player, n, other)
			}
			return err
		}),
	}
}
