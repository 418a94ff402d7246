package main

import (
	"context"

	"github.com/spf13/cobra"

	"pullcard/sequence/room/postgres"
	"pullcard/sequence/seat"
	"pullcard/sequence/shop"
	"pullcard/tui/bench"
	"pullcard/tui/board"
	"pullcard/tui/screen"
)

func roomBoard() *cobra.Command {
	var l looks
	c := &cobra.Command{
		Use:   "board [URL]",
		Short: "Show on the wall which rackets are ready, in work, late and waiting",
		Long: `A full screen that is read from four metres and turns its pages by itself. With a URL
it needs no book; a login of the board's group sees nothing but what is shown.
What names stand there the benches decide, by [room] names in their settings.`,
		Args:        cobra.MaximumNArgs(1),
		Annotations: map[string]string{onScreen: "board"},
		RunE: failing(func(c *cobra.Command, args []string) error {
			if err := l.settle(c); err != nil {
				return err
			}
			return atWall(c, args, func(r *postgres.Room) error {
				return l.show(c, in(&shop.Shop{Now: clock}), func(set bench.Settings) (screen.Screen, error) {
					return screen.Of(board.New(board.Settings{Theme: set.Theme, ASCII: set.ASCII, Now: set.Now, Read: func() (shop.Wall, error) {
						text, ago, err := r.Wall(c.Context())
						if err != nil {
							return shop.Wall{}, err
						}
						return shop.ReadWall(text, set.Now().Add(-ago))
					}})), nil
				})
			})
		}),
	}
	l.flags(c)
	return c
}

// atWall reaches for the room that a URL names, or else the one that the book is in.
func atWall(c *cobra.Command, args []string, work func(*postgres.Room) error) error {
	limits, err := roomLimits()
	if err != nil {
		return err
	}
	if len(args) == 0 {
		return inOldBook(c, func(s *shop.Shop) error {
			return seat.Here(context.Background(), s, limits, func(at *seat.Seat) error { return work(at.Room) })
		})
	}
	return seat.Reach(args[0], "board", limits, work)
}
