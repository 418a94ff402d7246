package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/sequence/book"
	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func bookImport() *cobra.Command {
	c := &cobra.Command{
		Use:   "import FILE",
		Short: "Take in the book of another bench, or its export",
		Long: `Takes in another book, or what pullcard book export FILE wrote of one. Of what was
changed in both, what was said last counts, and it is listed until you correct it;
what was done at one job in both is kept as two attempts. All of it is tried on a copy first; when that fails nothing is changed.
The bench may work on meanwhile. To import a file again changes nothing.`,
		Args: cobra.ExactArgs(1),
		RunE: withBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			m, err := s.Book.Import(c.Context(), args[0], clock(), importProgress(c))
			if err != nil {
				return err
			}
			return reply(c, m, func(out io.Writer) { writeMerged(out, m) })
		}),
	}
	jsonFlag(c)
	return c
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

func writeMerged(out io.Writer, m book.Merged) {
	for _, t := range []struct {
		what string
		book.Tally
	}{{"records", m.Records}, {"jobs", m.Jobs}} {
		fmt.Fprintf(out, "%-8s %d added, %d newer than here, %d the same, %d older than here\n", t.what+":", t.Added, t.Newer, t.Same, t.Older)
	}
	for _, x := range m.Conflicts {
		fmt.Fprintf(out, "conflict: %s %d (%s): %s; what was said last counts until you correct it\n", x.Kind, x.ID, x.UID, clean(x.What))
		for _, key := range records.Differing(x.Ours, x.Theirs) {
			fmt.Fprintf(out, "    %s: last %q, besides %q\n", key, clean(x.Ours[key]), clean(x.Theirs[key]))
		}
	}
	for _, p := range m.MaybeSame {
		fmt.Fprintf(out, "maybe the same: player %d and player %d, %s; if so: pullcard book same %d %d\n",
			p.Ours.ID, p.Theirs.ID, clean(p.Ours.Label()), p.Ours.ID, p.Theirs.ID)
	}
	for _, r := range m.Forgotten {
		fmt.Fprintf(out, "forgotten there: player %d (%s); if that holds here too: pullcard book forget %d --yes\n", r.ID, r.UID, r.ID)
	}
}

func bookSame() *cobra.Command {
	return &cobra.Command{
		Use:   "same PLAYER OTHER",
		Short: "Say that two players are one",
		Long: `Gives the first player what belongs to the other, who is removed. The records
that change hands keep beside them whose they were.`,
		Args: cobra.ExactArgs(2),
		RunE: failing(func(c *cobra.Command, args []string) error {
			return withOldBook(c, func(b *book.Book) error {
				player, err := b.One(c.Context(), records.KindPlayer, args[0])
				if err != nil {
					return err
				}
				other, err := b.One(c.Context(), records.KindPlayer, args[1])
				if err != nil {
					return err
				}
				n, err := b.Same(c.Context(), player.UID, other.UID, clock())
				if err != nil {
					return err
				}
				fmt.Fprintf(c.OutOrStdout(), "player %d has %d records more; player %d is removed\n", player.ID, n, other.ID)
				return nil
			})
		}),
	}
}
