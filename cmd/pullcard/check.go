package main

import (
	"bufio"
	"errors"
	"fmt"

	"pullcard/cmd/internal/disk"

	"github.com/spf13/cobra"
)

func checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE ...",
		Short: "Check layouts, technique sheets and jobs",
		Long: `Checks files: layouts, technique sheets and jobs, told apart by what they say.
Every problem is a line with its place and what would be right. The name of a
built-in layout or technique sheet may stand in place of a file.`,
		Args: cobra.MinimumNArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			var errs []error
			out := bufio.NewWriter(c.OutOrStdout())
			for _, path := range args {
				said, warnings, err := disk.Files().Check(path, func() ([]byte, error) { return readAsked(c, path) })
				for _, w := range warnings {
					fmt.Fprintf(out, "%s (warning)\n", clean(w))
				}
				if err != nil {
					errs = append(errs, err)
					continue
				}
				fmt.Fprintln(out, clean(said))
			}
			return errors.Join(append(errs, out.Flush())...)
		}),
	}
}
