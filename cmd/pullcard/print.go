package main

import (
	"bufio"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/patterns/harmless"
	"pullcard/sequence/calc"
	"pullcard/tui/theme"
)

// clean makes text from a file harmless on a terminal.
func clean(text string) string { return theme.Clean(text) }

// writeJSON writes a value as indented JSON.
func writeJSON(out io.Writer, v any) error { return harmless.WriteJSON(out, v, "  ") }

// jsonFlag lets a command and those below it be asked for JSON, which reply then writes.
func jsonFlag(c *cobra.Command) { c.PersistentFlags().Bool("json", false, "as JSON") }

func asJSON(c *cobra.Command) bool {
	is, err := c.Flags().GetBool("json")
	return err == nil && is
}

// reply writes what a command worked out: as JSON where that is asked for, otherwise as text.
func reply(c *cobra.Command, v any, text func(io.Writer)) error {
	if asJSON(c) {
		return writeJSON(c.OutOrStdout(), v)
	}
	out := bufio.NewWriter(c.OutOrStdout())
	text(out)
	return out.Flush()
}

// each are the values of a list as scripts read them.
func each[T interface{ JSON() any }](list []T) []any {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = v.JSON()
	}
	return out
}

// tell writes sections, what to look at first marked.
func tell(out io.Writer, sections ...calc.Section) {
	between := ""
	for _, s := range sections {
		if len(s.Lines) == 0 {
			continue
		}
		fmt.Fprint(out, between)
		between = "\n"
		if s.Head != "" {
			fmt.Fprintln(out, clean(s.Head))
		}
		for _, l := range s.Lines {
			mark := ""
			if l.Warn {
				mark = "! "
			}
			fmt.Fprintf(out, "%s%s\n", mark, clean(l.Text))
		}
	}
}
