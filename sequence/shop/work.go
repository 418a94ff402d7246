package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/records"
)

// Files reads the files that jobs are made of.
type Files struct {
	// Read reads a file. Its error wraps that of the system.
	Read func(path string) ([]byte, error)
	// Whole is the whole path of a file, by which it is found from any folder.
	Whole func(path string) string
	// Kept are the layouts or the technique sheets that the house keeps, by their names; nil for a house that keeps none.
	Kept func(records.Name) (map[string][]byte, error)
}

// Work is a job with all that its files mean, and the plan made of them, which is proven.
type Work struct {
	calc.Work
	Source []byte // the job file

	warnings source.Problems // of the files; those of the plan are in the plan
}

// Load reads a job file and the files that it names, makes the plan and proves it. The error is a source.Problems with
// everything that is wrong in all of the files.
func (f Files) Load(path string) (*Work, error) {
	data, err := f.File(path)
	if err != nil {
		return nil, err
	}
	return f.Work(path, data)
}

// Work is Load for a job file that was read already; path is its name in messages, and what it names is found from there.
func (f Files) Work(path string, data []byte) (*Work, error) {
	w, err := f.draft(path, data)
	if err != nil {
		return nil, err
	}
	return w, sequence.Prove(w.Plan, 0)
}

// draft is Work of which nothing is shown at a bench, so that its plan need not be proven.
func (f Files) draft(path string, data []byte) (*Work, error) {
	job, warnings, err := sequence.ReadJob(path, data)
	if job == nil {
		return nil, err
	}
	w := &Work{Work: calc.Work{Job: job}, Source: data, warnings: warnings}
	if err := errors.Join(err, f.readFrame(w), f.readTechnique(w)); err != nil {
		return nil, flat(err)
	}
	w.Plan, err = job.Plan(w.Frame, w.Technique)
	if err != nil {
		return nil, err
	}
	return w, nil
}

func (f Files) readFrame(w *Work) error {
	if !w.Job.Frame.Given {
		return nil // which was said already
	}
	file, data, err := f.named(w.Job.File, w.Job.Frame, layouts())
	if err != nil {
		return err
	}
	frame, warnings, err := patterns.ReadLayout(file, data)
	w.Frame, w.warnings = frame, append(w.warnings, warnings...)
	return err
}

func (f Files) readTechnique(w *Work) error {
	if !w.Job.Technique.Given {
		return nil // which was said already
	}
	file, data, err := f.named(w.Job.File, w.Job.Technique, techniques())
	if err != nil {
		return err
	}
	t, warnings, err := sequence.ReadTechnique(file, data)
	w.Technique, w.warnings = t, append(w.warnings, warnings...)
	return err
}

// Warnings are what to know before beginning: of the files, the plan and the numbers.
func (w *Work) Warnings() []string {
	return append(append(lines(w.warnings), w.Plan.Warnings...), w.Cautions()...)
}

// Head is what stands above the steps in every print: whose racket it is, tensions and settings, the plan and its totals.
func (w *Work) Head() []string {
	p, tension := w.Plan, w.Plan.Terms.Tensions()
	if p.Terms.PullMains.BoostPercent > 0 && len(p.Terms.Pulls) == 0 {
		tension += fmt.Sprintf("; before a knot %s and %s", p.Terms.PullMains.Boosted, p.Terms.PullCrosses.Boosted)
	}
	out := []string{tension}
	if w.Job.Player+w.Job.Racket != "" {
		out = []string{Title(w.Job.Player, w.Job.Racket, ""), tension}
	}
	if w.Job.Machine.Told() {
		var set, gauge []string
		for _, s := range w.Settings() {
			set, gauge = append(set, s.What+" "+s.Set.Short()), append(gauge, s.What+" "+s.Gauge.Short())
		}
		out = append(out, "machine set to: "+strings.Join(set, "; "), "gauge should read: "+strings.Join(gauge, "; "))
	}
	return append(out, fmt.Sprintf("plan %s: %d pulls, %d knots, one side ahead by %d at most", p.Plan, p.Totals.Pulls, p.Totals.Knots, p.Totals.MaxLead))
}

func lines(ps source.Problems) []string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = p.String()
	}
	return out
}

// flat joins the problems of several files into one list.
func flat(err error) error {
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return err
	}
	var all source.Problems
	for _, e := range joined.Unwrap() {
		var ps source.Problems
		var p source.Problem
		switch {
		case errors.As(e, &ps):
			all = append(all, ps...)
		case errors.As(e, &p):
			all = append(all, p)
		default:
			return err
		}
	}
	return all.Sorted()
}

// File reads a whole file; the error says which and why, and what to do.
func (f Files) File(path string) ([]byte, error) {
	data, err := f.Read(path)
	return data, ReadError(path, err)
}

// ReadError says of a file that was not read which and why, and what to do.
func ReadError(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("%s: interrupted while it was read", path)
	}
	return fmt.Errorf("%s: %s; name a file that can be read", cmp.Or(path, `""`), Reason(err))
}

// Reason is why a file could not be read, without its name.
func Reason(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return "no such file"
	}
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// Piped stands for standard input in place of a file's name.
const Piped = "-"

// key is how the book names a job file: by its whole path. A job that was composed from the book or piped in has none.
func (f Files) key(path string) string {
	switch path {
	case DemoFile, "":
		return path
	case Piped:
		return ""
	}
	return f.Whole(path)
}

// Patterns are built-in layouts of the frame's sport, one for each pattern that is not its own.
func (f Files) Patterns(own *patterns.Frame) []*patterns.Frame {
	pattern := func(f *patterns.Frame) [2]int { return [2]int{len(f.Columns()), len(f.Crosses)} }
	seen := map[[2]int]bool{pattern(own): true}
	var out []*patterns.Frame
	for _, name := range library.Layouts() {
		frame, err := f.Layout(name)
		if err != nil || frame.Sport != own.Sport || seen[pattern(frame)] {
			continue
		}
		seen[pattern(frame)] = true
		out = append(out, frame)
	}
	return out
}

// FrequencyHz is where the bed computes to ring, in Hz; nought where the job does not tell its string.
func (w *Work) FrequencyHz() (float64, error) {
	s, err := w.Strung()
	if err != nil || s.Assumed != "" {
		return 0, err
	}
	return s.Figures.Hz[0], nil
}
