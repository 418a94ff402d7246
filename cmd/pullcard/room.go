package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/sequence/room"
	"pullcard/sequence/room/postgres"
	"pullcard/sequence/seat"
	"pullcard/sequence/shop"
)

func roomCommand() *cobra.Command {
	return group("room", "The room: benches that share their books over a database server",
		`Each bench keeps its own book and works without a network; a room on a PostgreSQL
server joins them. A URL is as every program of that server takes it; a password
belongs into ~/.pgpass and not into it.`,
		roomOpen(), roomRights(), roomJoin(), roomState(), roomSync(), roomBoard(), roomCheck(), roomRepair(), roomLeave())
}

// roomLimits are how long the settings let a bench wait for a server.
func roomLimits() (room.Limits, error) {
	set, err := houseSettings()
	return set.Room, err
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
func atSeat(work func(context.Context, *cobra.Command, *seat.Seat, []string) error) func(*cobra.Command, []string) error {
	return readingBook(func(c *cobra.Command, s *shop.Shop, args []string) error {
		l, err := roomLimits()
		if err != nil {
			return err
		}
		return seat.Here(c.Context(), s, l, func(at *seat.Seat) error { return work(c.Context(), c, at, args) })
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
			return told(c, nil, seat.TellRoom(t, url, before == 0)...)
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
				return untouched{err}
			}
			if as == "" {
				return untouched{misuse{errors.New("as which bench; add --as and a letter or a short word that no other bench has")}}
			}
			r, err := seat.Take(c.Context(), s, args[0], as, again, l)
			if _, url, _ := s.Book.Seat(c.Context()); err != nil && url == "" {
				return untouched{err}
			}
			if err != nil {
				return err
			}
			fmt.Fprintf(c.OutOrStdout(), "bench %s is in the room; ", as)
			return told(c, nil, r.Tell())
		}),
	}
	c.Flags().StringVar(&as, "as", "", "the bench: a letter or a short word that no other bench has")
	c.Flags().BoolVar(&again, "again", false, "the bench was there before, with another book")
	return c
}

func roomSync() *cobra.Command {
	return &cobra.Command{
		Use:   "sync",
		Short: "Do one round with the room now",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(ctx context.Context, c *cobra.Command, at *seat.Seat, _ []string) error {
			r, err := at.Round(ctx)
			if err != nil {
				return err
			}
			return told(c, nil, r.Tell())
		}),
	}
}

func roomState() *cobra.Command {
	c := &cobra.Command{
		Use:   "state",
		Short: "Say how the room stands: who is there, what waits, how safe the way is",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(ctx context.Context, c *cobra.Command, at *seat.Seat, _ []string) error {
			st, err := at.State(ctx)
			if err != nil {
				return err
			}
			return told(c, st, st.Tell())
		}),
	}
	jsonFlag(c)
	return c
}

func roomCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check",
		Short: "Say whether all hold the same, and what differs",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(ctx context.Context, c *cobra.Command, at *seat.Seat, _ []string) error {
			list, err := at.Check(ctx)
			switch n := len(list); {
			case err != nil:
				return err
			case n > 0:
				err = fmt.Errorf("%d things differ", n)
			default:
				list = []string{"this book and the room are the same, and all benches said that they have all of it"}
			}
			for _, text := range list {
				say(c, "%s", text)
			}
			return err
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
		RunE: atSeat(func(ctx context.Context, c *cobra.Command, at *seat.Seat, args []string) error {
			l, err := roomLimits()
			if err != nil {
				return err
			}
			n, err := at.RepairFrom(ctx, strings.Join(args, ""), l)
			if err == nil {
				say(c, "%d changes are put back", n)
			}
			return err
		}),
	}
}

func roomLeave() *cobra.Command {
	var away bool
	c := &cobra.Command{
		Use:   "leave",
		Short: "Give the room what it has not got, and leave it; the book keeps everything",
		Args:  cobra.NoArgs,
		RunE: atSeat(func(ctx context.Context, c *cobra.Command, at *seat.Seat, _ []string) error {
			err := at.Leave(ctx, away)
			if err == nil {
				say(c, "the book is in no room any more; it keeps everything")
			}
			return err
		}),
	}
	c.Flags().BoolVar(&away, "away", false, "also where the room is not reached")
	return c
}
