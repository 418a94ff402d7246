package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/shop"
	"pullcard/sequence/ticket"
)

func stepsCommand() *cobra.Command {
	var asJSON, asCSV, asMarkdown bool
	var mishaps []string
	c := &cobra.Command{
		Use:   "steps JOB.toml",
		Short: "Print the steps of a job",
		Long:  "Prints the steps that string a job's racket: as text, as JSON for scripts, as a table, or as a card to print.",
		Args:  cobra.ExactArgs(1),
		RunE: failing(func(c *cobra.Command, args []string) error {
			w, err := loadAsked(c, args[0])
			if err != nil {
				return err
			}
			if w.Plan, err = shop.MendAll(w.Plan, mishaps); err != nil {
				return fmt.Errorf("--mishap %w", err)
			}
			switch out := c.OutOrStdout(); {
			case asJSON:
				return writeJSON(out, w.Plan)
			case asCSV:
				return ticket.StepsCSV(out, w.Plan)
			case asMarkdown:
				return ticket.Steps{Plan: w.Plan, Head: w.Head(), Warnings: w.Warnings()}.Markdown(out)
			default:
				return ticket.Steps{Plan: w.Plan, Head: w.Head(), Warnings: w.Warnings()}.Text(out)
			}
		}),
	}
	c.Flags().StringArrayVar(&mishaps, "mishap", nil, "what went wrong, in order: \"AT KIND [strand=M3L] [hole=7HL] [clamp=A] [where=bed] [extent=gone] [choose=…] [done=OPS]\"; the plan then has the way back in it")
	c.Flags().BoolVar(&asJSON, "json", false, "as JSON")
	c.Flags().BoolVar(&asCSV, "csv", false, "as a table of comma-separated values, a row for each operation")
	c.Flags().BoolVar(&asMarkdown, "markdown", false, "as a card in Markdown, to print")
	c.MarkFlagsMutuallyExclusive("json", "csv", "markdown")
	return c
}
