package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
	"pullcard/sequence/shop"
)

func roomCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "room",
		Short: "The room: benches that share their books over a database server",
		Long: `Each bench keeps its own book and works without a network; a room on a PostgreSQL
server joins them. A URL is as every program of that server takes it; a password
belongs into ~/.pgpass and not into it.`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return errors.New("what of the room; pullcard room --help lists it")
		},
	}
	c.AddCommand(roomOpen(), roomRights(), roomJoin(), roomState(), roomSync(), roomBoard(), roomCheck(), roomRepair(), roomLeave())
	return c
}

// roomLimits are how long the settings let a bench wait for a server.
func roomLimits() (postgres.Limits, error) {
	set, err := houseSettings()
	return set.Room, err
}

// reach goes to the room that a URL names, as a bench.
func reach(url, bench string, l postgres.Limits, work func(*postgres.Room) error) error {
	t, err := postgres.At(url, l)
	if err != nil {
		return err
	}
	r := postgres.Join(t, bench)
	defer r.Close()
	return work(r)
}

// atRoom is a command about a room that a URL names.
func atRoom(work func(context.Context, *cobra.Command, *postgres.Target, string) error) func(*cobra.Command, []string) error {
	return failing(func(c *cobra.Command, args []string) error {
		l, err := roomLimits()
		if err != nil {
			return err
		}
		t, err := postgres.At(args[0], l)
		if err != nil {
			return err
		}
		return work(c.Context(), c, t, args[0])
	})
}

// atSeat is a command at the seat that the book has in a room.
func atSeat(work func(*cobra.Command, *shop.Shop, *shop.Seat, []string) error) func(*cobra.Command, []string) error {
	return readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
		l, err := roomLimits()
		if err != nil {
			return err
		}
		return s.InRoom(c.Context(), l, func(seat *shop.Seat) error { return work(c, s, seat, args) })
	})
}

func roomOpen() *cobra.Command {
	return &cobra.Command{
		Use:   "open URL",
		Short: "Make a room in a database, or bring it up to date",
		Args:  cobra.ExactArgs(1),
		RunE: atRoom(func(ctx context.Context, c *cobra.Command, t *postgres.Target, url string) error {
			before, err := postgres.Make(ctx, t)
			if err != nil {
				return err
			}
			out := c.OutOrStdout()
			if before == 0 {
				fmt.Fprintf(out, "a room is made: %s\n", clean(t.String()))
			} else {
				fmt.Fprintf(out, "the room is up to date: %s\n", clean(t.String()))
			}
			fmt.Fprintf(out, "the way to it: %s\n\n", t.Way())
			fmt.Fprintf(out, "at each bench, K being a letter of its own:\n    pullcard room join '%s' --as K\n", clean(url))
			fmt.Fprintf(out, "benches that come as %s are not kept apart; for logins of their own, let the server's administrator look through and run\n"+
				"    pullcard room rights '%s' | psql --dbname='%s'\n", clean(t.Login()), clean(url), clean(t.Database()))
			return nil
		}),
	}
}

func roomRights() *cobra.Command {
	return &cobra.Command{
		Use:   "rights URL",
		Short: "Print the script that keeps the benches of a room apart",
		Long: `Prints a script for psql that makes groups for desk, benches and boards and says
what each may do. It is for the server's administrator; pullcard never runs it.`,
		Args: cobra.ExactArgs(1),
		RunE: atRoom(func(_ context.Context, c *cobra.Command, t *postgres.Target, _ string) error {
			_, err := io.WriteString(c.OutOrStdout(), postgres.Rights(t.Database()))
			return err
		}),
	}
}

func roomJoin() *cobra.Command {
	var as string
	var again bool
	c := &cobra.Command{
		Use:   "join URL --as K",
		Short: "Take a seat in a room for this book, as bench K",
		Args:  cobra.ExactArgs(1),
		RunE: withBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
			l, err := roomLimits()
			if err != nil {
				return err
			}
			if as == "" {
				return misuse{errors.New("as which bench; add --as and a letter or a short word that no other bench has")}
			}
			r, err := s.JoinRoom(c.Context(), args[0], as, again, l)
			if err != nil {
				return err
			}
			fmt.Fprintf(c.OutOrStdout(), "bench %s is in the room; ", as)
			writeRound(c.OutOrStdout(), r)
			return nil
		}),
	}
	c.Flags().StringVar(&as, "as", "", "the bench: a letter or a short word that no other bench has")
	c.Flags().BoolVar(&again, "again", false, "the bench was there before, with another book")
	return c
}

func writeRound(out io.Writer, r room.Round) {
	fmt.Fprintf(out, "%d changes of others taken in, %d given\n", r.Taken, r.Given)
	if r.Renewed {
		fmt.Fprintln(out, "this book was an older copy than the room knew; it goes on under a new number")
	}
	if r.Forgotten > 0 {
		fmt.Fprintf(out, "%d players were forgotten elsewhere, and are here now\n", r.Forgotten)
	}
	if r.Waiting > 0 {
		fmt.Fprintf(out, "%d changes are kept and wait: for others to come, or for a newer program; pullcard room state lists them\n", r.Waiting)
	}
}

func roomSync() *cobra.Command {
	return &cobra.Command{
		Use:   "sync",
		Short: "Do one round with the room now",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(c *cobra.Command, _ *shop.Shop, seat *shop.Seat, _ []string) error {
			r, err := seat.Round(c.Context())
			if err == nil {
				writeRound(c.OutOrStdout(), r)
			}
			return err
		}),
	}
}

func roomState() *cobra.Command {
	c := &cobra.Command{
		Use:   "state",
		Short: "Say how the room stands: who is there, what waits, how safe the way is",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(c *cobra.Command, s *shop.Shop, seat *shop.Seat, _ []string) error {
			st, err := s.RoomState(c.Context(), seat)
			if err != nil {
				return err
			}
			return reply(c, st, func(out io.Writer) { writeRoom(out, s, st) })
		}),
	}
	jsonFlag(c)
	return c
}

func writeRoom(out io.Writer, s *shop.Shop, st shop.RoomState) {
	fmt.Fprintf(out, "bench %s in the room %s\nthe way to it: %s\n", clean(st.Bench), clean(st.Room), st.Way)
	fmt.Fprintf(out, "%d changes are in the room; %d of this bench wait to be given\n", st.Rows, st.Waiting)
	if st.Missing > 0 {
		fmt.Fprintf(out, "! %d changes of other benches are in this book and not in the room; pullcard room check\n", st.Missing)
	}
	for _, benches := range st.Shared {
		fmt.Fprintf(out, "! not kept apart, as they come with one login: benches %s; pullcard room rights\n", clean(fmt.Sprint(benches)))
	}
	for _, u := range st.Unfit {
		fmt.Fprintf(out, "! kept and not taken in: row %d of bench %s, a %s: %s\n", u.Seq, clean(u.Bench), clean(u.Kind), clean(u.Why))
	}
	for _, bench := range slices.Sorted(maps.Keys(st.Ahead)) {
		fmt.Fprintf(out, "! a clock is wrong: bench %s wrote by %s, more than a day from now; set it, nobody follows it\n", clean(bench), st.Ahead[bench].Format("2006-01-02 15:04"))
	}
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "bench\tlogin\tseen\tbehind")
	for _, m := range st.Members {
		left := ""
		if m.Gone {
			left = ", has left"
		}
		fmt.Fprintf(t, "%s\t%s\t%s%s\t%d\n", clean(m.Bench), clean(m.Login), m.Seen.In(s.Now().Location()).Format("2006-01-02 15:04:05"), left, m.Behind)
	}
	_ = t.Flush() // into a buffer
}

func roomCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Say whether all hold the same, and what differs",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(c *cobra.Command, s *shop.Shop, seat *shop.Seat, _ []string) error {
			list, err := s.CheckRoom(c.Context(), seat)
			if err != nil {
				return err
			}
			for _, f := range list {
				fmt.Fprintln(c.OutOrStdout(), clean(string(f)))
			}
			if len(list) > 0 {
				return fmt.Errorf("%d things differ", len(list))
			}
			fmt.Fprintln(c.OutOrStdout(), "this book and the room are the same, and all benches said that they have all of it")
			return nil
		}),
	}
}

func roomRepair() *cobra.Command {
	return &cobra.Command{
		Use:   "repair [URL]",
		Short: "Put back what the room lost and this book has, as its owner",
		Long: `Puts back changes of other benches that the room has lost, as after the server was
restored from an older copy. Only the owner of the room may: name the URL with
which the room was made where the bench has a login of its own.`,
		Args: cobra.MaximumNArgs(1),
		RunE: atSeat(func(c *cobra.Command, _ *shop.Shop, seat *shop.Seat, args []string) error {
			repair := func(r *postgres.Room) error {
				seat.Syncer.Room = r
				n, err := seat.Repair(c.Context())
				if err == nil {
					fmt.Fprintf(c.OutOrStdout(), "%d changes are put back\n", n)
				}
				return err
			}
			if len(args) == 0 {
				return repair(seat.Room)
			}
			l, err := roomLimits()
			if err != nil {
				return err
			}
			return reach(args[0], seat.Bench, l, repair)
		}),
	}
}

func roomLeave() *cobra.Command {
	var away bool
	c := &cobra.Command{
		Use:   "leave",
		Short: "Give the room what it has not got, and leave it; the book keeps everything",
		Args:  cobra.NoArgs,
		RunE: readingBook(func(c *cobra.Command, s *shop.Shop, _ []string) error {
			l, err := roomLimits()
			if err == nil {
				err = s.LeaveRoom(c.Context(), away, l)
			}
			if err == nil {
				fmt.Fprintln(c.OutOrStdout(), "the book is in no room any more; it keeps everything")
			}
			return err
		}),
	}
	c.Flags().BoolVar(&away, "away", false, "also where the room is not reached")
	return c
}
