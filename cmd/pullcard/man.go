package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func manCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "man FOLDER",
		Short: "Write the manual pages of all commands into a folder",
		Long: `Writes a manual page for each command into a folder, which is made when it is not
there. Read them with man -l FOLDER/pullcard.1, or put them where man looks.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return fmt.Errorf("%s: %w; name a folder where you may write", args[0], err)
			}
			root := c.Root()
			root.DisableAutoGenTag = true
			if err := doc.GenManTree(root, &doc.GenManHeader{Title: "PULLCARD", Section: "1", Source: "pullcard", Manual: "pullcard"}, args[0]); err != nil {
				return fmt.Errorf("write the manual pages: %w", err)
			}
			return nil
		}),
	}
}
