package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
	"pullcard/sequence/ticket"
)

func stepsCommand() *cobra.Command {
	var asCSV, asMarkdown bool
	var against string
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
			if against != "" {
				other, err := filesOf(c).Against(w, against)
				if err != nil {
					return fmt.Errorf("--against %w", err)
				}
				return told(c, other, other.Tell()...)
			}
			cuts := shop.Cuts(w) // of the straight way; a new piece is as long
			if w.Plan, err = shop.MendAll(w.Plan, mishaps); err != nil {
				return fmt.Errorf("--mishap %w", err)
			}
			steps := ticket.Steps{Plan: w.Plan, Head: w.Head(), Warnings: w.Warnings(), Cuts: cuts}
			switch out := c.OutOrStdout(); {
			case asJSON(c):
				return writeJSON(out, w.Plan)
			case asCSV:
				return steps.CSV(out)
			case asMarkdown:
				return steps.Markdown(out)
			default:
				return steps.Text(out)
			}
		}),
	}
	c.Flags().StringArrayVar(&mishaps, "mishap", nil, "what went wrong, in order: \"AT KIND [strand=M3L] [hole=7HL] [clamp=A] [where=bed] [extent=gone] [choose=…] [done=OPS]\"; the plan then has the way back in it")
	jsonFlag(c)
	c.Flags().StringVar(&against, "against", "", "another technique sheet: tell what it does otherwise, first where hands would notice")
	complete(c, "against", named(records.KindSheet))
	c.Flags().BoolVar(&asCSV, "csv", false, "as a table of comma-separated values, a row for each operation")
	c.Flags().BoolVar(&asMarkdown, "markdown", false, "as a card in Markdown, to print")
	c.MarkFlagsMutuallyExclusive("json", "csv", "markdown")
	c.MarkFlagsMutuallyExclusive("against", "csv", "markdown", "mishap")
	return c
}
