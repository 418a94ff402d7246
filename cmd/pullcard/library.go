package main

import (
	"cmp"
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence/shop"
)

func libraryCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "library [NAME]",
		Short: "List the built-in frames and technique sheets, or print one",
		Long: `Lists the frames and technique sheets that a job can name without a file. With
a name it prints that one: the best start for a file of your own, as in
pullcard library two-piece-skip > house.toml. The frames are invented.`,
		Args: cobra.MaximumNArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				list := shop.BuiltIns()
				return told(c, list, shop.TellBuiltIns(list)...)
			}
			data, ok := library.Layout(args[0])
			if !ok {
				data, ok = library.Technique(args[0])
			}
			if !ok {
				return fmt.Errorf("%q is not built in; %s", args[0],
					cmp.Or(source.Meant(args[0], append(library.Layouts(), library.Techniques()...)), "pullcard library lists what is"))
			}
			_, err := c.OutOrStdout().Write(data)
			return err
		}),
	}
	c.ValidArgs = append(library.Layouts(), library.Techniques()...)
	jsonFlag(c)
	return c
}
