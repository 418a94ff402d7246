package main

import (
	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

// ofBook completes a record of a kind by its name, or by its number where digits are typed. A book that cannot be opened has none.
func ofBook(kind records.Name) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, typed string) (out []string, _ cobra.ShellCompDirective) {
		if len(args) > 0 && c.Args(c, append(args, typed)) != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		_ = inOldBook(c, func(s *shop.Shop) error {
			list, err := s.Complete(c.Context(), kind, typed)
			for _, to := range list {
				out = append(out, cobra.CompletionWithDesc(clean(to.Word), clean(to.Says)))
			}
			return err
		})
		return out, cobra.ShellCompDirectiveNoFileComp
	}
}

// named completes frames or sheets by their names, the house's and the built-in ones, and files.
func named(kinds ...records.Name) cobra.CompletionFunc {
	return func(c *cobra.Command, _ []string, _ string) (out []string, _ cobra.ShellCompDirective) {
		for _, kind := range kinds {
			for _, name := range filesOf(c).Names(kind) {
				out = append(out, clean(name))
			}
		}
		return out, cobra.ShellCompDirectiveDefault
	}
}

// completeField completes the flag of a field by what it names.
func completeField(c *cobra.Command, f records.Field) {
	var j records.Job
	switch {
	case f.Of != "":
		complete(c, f.Key, ofBook(f.Of))
	case f.Key == records.Key(&j, &j.Frame):
		complete(c, f.Key, named(records.KindFrame))
	case f.Key == records.Key(&j, &j.Technique):
		complete(c, f.Key, named(records.KindSheet))
	}
}

// complete gives a flag of a command what completes its value.
func complete(c *cobra.Command, flag string, with cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, with); err != nil {
		panic(err) // there is no such flag
	}
}
