package main

import (
	"bufio"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence"
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
				said, warnings, err := check(c, path)
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

// check reads one file and says what it is.
func check(c *cobra.Command, path string) (said string, warnings []string, err error) {
	if data, ok := library.Layout(path); ok {
		return checkLayout(path, data)
	}
	if data, ok := library.Technique(path); ok {
		return checkTechnique(path, data)
	}
	data, err := readAsked(c, path)
	if err != nil {
		if near := source.Nearest(path, append(library.Layouts(), library.Techniques()...)); near != "" {
			err = fmt.Errorf("%w; did you mean the built-in %q?", err, near)
		}
		return "", nil, err
	}
	kind, err := kindOf(path, data)
	if err != nil {
		return "", nil, err
	}
	switch kind {
	case "layout":
		return checkLayout(path, data)
	case "technique":
		return checkTechnique(path, data)
	}
	return checkJob(path, data)
}

// kindOf tells what kind a file is by the keys that only one kind has, so that one stray key does not decide.
func kindOf(path string, data []byte) (string, error) {
	doc, err := source.Read(path, data)
	if err != nil {
		return "", err
	}
	root := doc.Root()
	kind, most := "", 0
	for _, k := range []struct {
		kind string
		keys []string
	}{
		{"job", []string{"frame", "technique", "player", "racket", "machine", "string"}},
		{"technique", []string{"pieces", "mount", "clamps", "boost", "around", "cut"}},
		{"layout", []string{"sport", "skip", "holes", "start", "hoop", "mains_head", "mains_throat", "shared", "measured"}},
	} {
		has := 0
		for _, key := range k.keys {
			if root.Has(key) {
				has++
			}
		}
		if has > most {
			kind, most = k.kind, has
		}
	}
	switch {
	case most > 0:
		return kind, nil
	case root.IsTable("mains") || root.IsTable("crosses"):
		return "technique", nil
	case root.Has("mains") || root.Has("crosses"):
		return "layout", nil
	case root.Has("tension"):
		return "job", nil
	}
	return "", source.Problems{{File: path, Pos: source.Pos{Line: 1, Col: 1},
		Text: `neither a layout, a technique sheet nor a job; a layout says sport = "tennis", a technique sheet pieces = 2, a job frame = "…" and technique = "…"`}}
}

func checkLayout(path string, data []byte) (string, []string, error) {
	f, warnings, err := patterns.ReadLayout(path, data)
	if err != nil {
		return "", lines(warnings), err
	}
	crossings := 0
	for _, c := range f.Crosses {
		crossings += len(f.Met(c))
	}
	return fmt.Sprintf("%s: layout %q, %s %d×%d, %d holes a side, %d crossings: in order",
		path, f.Name, f.Sport, len(f.Columns()), len(f.Crosses), f.Holes[patterns.Left], crossings), lines(warnings), nil
}

func checkTechnique(path string, data []byte) (string, []string, error) {
	t, warnings, err := sequence.ReadTechnique(path, data)
	if err != nil {
		return "", lines(warnings), err
	}
	return fmt.Sprintf("%s: technique sheet %q, pieces %d: in order", path, t.Name, t.Pieces), lines(warnings), nil
}

func checkJob(path string, data []byte) (string, []string, error) {
	w, err := readWork(path, data)
	if err != nil {
		return "", nil, err
	}
	return fmt.Sprintf("%s: job, %s by %q, plan %s of %d steps: in order", path, w.plan.Frame, w.plan.Technique, w.plan.Plan, len(w.plan.Steps)),
		allWarnings(w), nil
}

func lines(ps source.Problems) []string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = p.String()
	}
	return out
}
