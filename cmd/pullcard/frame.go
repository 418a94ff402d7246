package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/cmd/internal/disk"
	"pullcard/sequence/shop"
	"pullcard/tui/bench"
	"pullcard/tui/frame"
	"pullcard/tui/screen"
)

func frameCommand() *cobra.Command {
	var l looks
	c := &cobra.Command{
		Use:   "frame [LAYOUT.toml]",
		Short: "Type in a new frame, or edit a layout",
		Long: `Opens the form that asks what is printed on a frame's card and shows the racket
growing while you type. Without a file it makes a new layout in this folder;
with one that is not there it makes that; with one that is there it edits that
and keeps its comments. pullcard library lists the frames that are built in.`,
		Args:        cobra.MaximumNArgs(1),
		Annotations: map[string]string{onScreen: "frame"},
		RunE: failing(func(c *cobra.Command, args []string) error {
			if err := l.settle(c); err != nil {
				return err
			}
			h := in(&shop.Shop{Files: disk.Files(), Now: clock})
			return l.show(c, h, func(set bench.Settings) (screen.Screen, error) {
				own := frame.Settings{Theme: set.Theme, ASCII: set.ASCII, Turn: set.Turn, Save: h.SaveFrame}
				if len(args) == 0 {
					return screen.Of(frame.New(own)), nil
				}
				data, err := disk.Files().File(args[0])
				if _, missing := os.Stat(args[0]); errors.Is(missing, fs.ErrNotExist) { // it is made, under that name
					h.makes, own.File = args[0], args[0]
					return screen.Of(frame.New(own)), nil
				}
				if err != nil {
					return nil, err
				}
				h.edits, own.File = args[0], args[0]
				m, err := frame.Edit(strings.TrimSuffix(filepath.Base(args[0]), ".toml"), data, own)
				return screen.Of(m), err
			})
		}),
	}
	l.flags(c)
	return c
}
