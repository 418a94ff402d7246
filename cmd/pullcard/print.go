package main

import (
	"bufio"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"pullcard/patterns/harmless"
	"pullcard/sequence/report"
	"pullcard/tui/theme"
)

// clean makes text from a file harmless on a terminal.
func clean(text string) string { return theme.Clean(text) }

// say writes a line.
func say(c *cobra.Command, format string, args ...any) {
	fmt.Fprintln(c.OutOrStdout(), clean(fmt.Sprintf(format, args...)))
}

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

// told is reply with sections as the text.
func told(c *cobra.Command, v any, sections ...report.Section) error {
	return reply(c, v, func(out io.Writer) { report.Write(out, sections...) })
}

// each are the values of a list as scripts read them.
func each[T interface{ JSON() any }](list []T) []any {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = v.JSON()
	}
	return out
}
