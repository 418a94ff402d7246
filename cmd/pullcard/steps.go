package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/patterns/harmless"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	proof "pullcard/sequence/shop" // until the commands use it for all
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
			if w.plan, err = mended(w.plan, mishaps); err != nil {
				return err
			}
			switch out := c.OutOrStdout(); {
			case asJSON:
				return writeJSON(out, w.plan)
			case asCSV:
				return writeCSV(out, w.plan)
			case asMarkdown:
				return writeMarkdown(out, w)
			default:
				return writeText(out, w)
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

// mended is a plan with what went wrong and the ways back in it, mishap upon mishap.
func mended(p *plan.Plan, mishaps []string) (*plan.Plan, error) {
	for _, text := range mishaps {
		done, trouble, err := sequence.ParseTrouble(text)
		if err == nil {
			var next *plan.Plan
			if next, err = proof.Mend(p, done, trouble); err == nil {
				p = next
				continue
			}
		}
		return nil, fmt.Errorf("--mishap %q: %w", text, err)
	}
	return p, nil
}

// writeJSON writes a value as indented JSON.
func writeJSON(out io.Writer, v any) error { return harmless.WriteJSON(out, v, "  ") }

// grips writes where the clamps stand, "A on M1L at 1HL, S outside on C1 at 7HL".
func grips(s *plan.Step) string {
	text := ""
	for _, c := range plan.Clamps() {
		if g := s.Clamps[c]; g != nil {
			if text != "" {
				text += ", "
			}
			text += string(c) + " "
			if g.Outside {
				text += "outside "
			}
			text += "on " + string(g.Strand)
			if g.With != "" {
				text += " and " + string(g.With)
			}
			text += " at " + string(g.Hole)
		}
	}
	if text == "" {
		return "no clamp is on"
	}
	return text
}
