package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"

	"pullcard/sequence/records"
	"pullcard/sequence/shop"
)

func checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE ...",
		Short: "Check layouts, technique sheets and jobs",
		Long: `Checks files: layouts, technique sheets and jobs, told apart by what they say.
Every problem is a line with its place and what would be right. The name of a
layout or technique sheet, the house's or a built-in one, and the number or a few
letters of a job in the record book may stand in place of a file.`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: named(records.KindFrame, records.KindSheet),
		RunE: failing(func(c *cobra.Command, args []string) error {
			var errs []error
			out := bufio.NewWriter(c.OutOrStdout())
			for _, path := range args {
				said, warnings, err := filesOf(c).Check(path, func() (string, []byte, error) { return readOrJob(c, path) })
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

// readOrJob reads a file that a command was asked for, or where there is none the text of the job that is meant by its number or, where
// that is no file's name, by a few letters; it says which file it was.
func readOrJob(c *cobra.Command, path string) (file string, data []byte, err error) {
	data, err = readAsked(c, path)
	if err == nil || filepath.Base(path) != path || filepath.Ext(path) != "" || !hasBook(c) {
		return path, data, err
	}
	wrong := inOldBook(c, func(s *shop.Shop) error {
		r, err := s.Meant(c.Context(), records.KindJob, "", path)
		if n, number := strconv.ParseInt(path, 10, 64); err == nil && number == nil && r.ID != n { // letters of another one's
			err = fmt.Errorf("there is no job %d in the book", n)
		}
		if err == nil {
			file, data, err = s.Book.Text(c.Context(), r.UID)
		}
		return err
	})
	if wrong != nil {
		return path, nil, fmt.Errorf("%w; nor a job: %w", err, wrong)
	}
	return cmp.Or(file, path), data, nil
}
