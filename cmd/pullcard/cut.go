package main

import (
	"github.com/spf13/cobra"
)

func cutCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "cut JOB.toml",
		Short: "Print the lengths of string to cut",
		Long: `Prints the length of each piece of string, term by term, so that it can be
checked with a tape. A set or reel that the job names and that is too short is
refused, with the missing length.`,
		Args: cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			w, err := loadAsked(c, args[0])
			if err != nil {
				return err
			}
			l, err := w.Lengths()
			if err != nil {
				return err
			}
			return told(c, l.JSON(), w.TellLengths(l)...)
		}),
	}
	jsonFlag(c)
	return c
}
