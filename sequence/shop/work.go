package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/calc"
	"pullcard/sequence/plan"
)

// Files reads the files that jobs are made of.
type Files struct {
	// Read reads a file. Its error wraps that of the system.
	Read func(path string) ([]byte, error)
	// Whole is the whole path of a file, by which it is found from any folder.
	Whole func(path string) string
}

// Work is a job with all that its files mean, and the plan made of them, which is proven.
type Work struct {
	Job       *sequence.Job
	Frame     *patterns.Frame
	Technique *sequence.Technique
	Plan      *plan.Plan
	Source    []byte // the job file

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
	job, warnings, err := sequence.ReadJob(path, data)
	if job == nil {
		return nil, err
	}
	w := &Work{Job: job, Source: data, warnings: warnings}
	if err := errors.Join(err, f.readFrame(w), f.readTechnique(w)); err != nil {
		return nil, flat(err)
	}
	w.Plan, err = job.Plan(w.Frame, w.Technique)
	if err != nil {
		return nil, err
	}
	return w, Prove(w.Plan)
}

func (f Files) readFrame(w *Work) error {
	if !w.Job.Frame.Given {
		return nil // which was said already
	}
	file, data, err := f.named(w.Job.File, w.Job.Frame, "layout", library.Layout, library.Layouts)
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
	file, data, err := f.named(w.Job.File, w.Job.Technique, "technique sheet", library.Technique, library.Techniques)
	if err != nil {
		return err
	}
	t, warnings, err := sequence.ReadTechnique(file, data)
	w.Technique, w.warnings = t, append(w.warnings, warnings...)
	return err
}

// Numbers is the work as the package of that name takes it.
func (w *Work) Numbers() calc.Work {
	return calc.Work{Frame: w.Frame, Technique: w.Technique, Job: w.Job, Plan: w.Plan}
}

// Warnings are what to know before beginning: of the files, the plan and the numbers.
func (w *Work) Warnings() []string {
	return append(append(lines(w.warnings), w.Plan.Warnings...), w.Numbers().Cautions()...)
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
		for _, s := range w.Numbers().Settings() {
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

// named finds what a job names: a built-in file, or a path relative to the job's file.
func (f Files) named(job string, ref source.Text, what string, builtIn func(string) ([]byte, bool), list func() []string) (string, []byte, error) {
	if data, ok := builtIn(ref.S); ok {
		return ref.S, data, nil
	}
	path := ref.S
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(job), path)
	}
	data, err := f.Read(path)
	if err == nil {
		return path, data, nil
	}
	text := fmt.Sprintf("%q is neither a built-in %s nor a file that can be read (%s)", ref.S, what, Reason(err))
	if near := source.Nearest(ref.S, list()); near != "" {
		text += fmt.Sprintf("; did you mean %q?", near)
	} else {
		text += "; built in are " + strings.Join(list(), ", ")
	}
	return "", nil, source.Problem{File: job, Pos: ref.Pos, Text: text}
}

// File reads a whole file; the error says which and why, and what to do.
func (f Files) File(path string) ([]byte, error) {
	data, err := f.Read(path)
	return data, Unread(path, err)
}

// Unread says of a file that was not read which and why, and what to do.
func Unread(path string, err error) error {
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

// place is a built-in name as it is, and any other as the whole path of what a job file means by it.
func (f Files) place(job, name string, builtIn func(string) ([]byte, bool)) string {
	if _, ok := builtIn(name); ok || name == "" || filepath.IsAbs(name) {
		return name
	}
	return f.Whole(filepath.Join(filepath.Dir(job), name))
}

// placeTyped is place for a name that somebody typed: one that is not there stays as it is, so that messages say it so.
func (f Files) placeTyped(name string, builtIn func(string) ([]byte, bool)) string {
	path := f.place("", name, builtIn)
	if _, err := f.Read(path); err != nil {
		return name
	}
	return path
}

// Layout reads a built-in layout or a file.
func (f Files) Layout(name string) (*patterns.Frame, error) {
	data, ok := library.Layout(name)
	if !ok {
		var err error
		if data, err = f.File(name); err != nil {
			return nil, err
		}
	}
	frame, _, err := patterns.ReadLayout(name, data)
	return frame, err
}

// Technique reads a built-in technique sheet or a file.
func (f Files) Technique(name string) (*sequence.Technique, error) {
	data, ok := library.Technique(name)
	if !ok {
		var err error
		if data, err = f.File(name); err != nil {
			return nil, err
		}
	}
	t, _, err := sequence.ReadTechnique(name, data)
	return t, err
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

// Rings is where the bed computes to ring, in Hz; nought where the job does not tell its string.
func (w *Work) Rings() (float64, error) {
	s, err := w.Numbers().Strung()
	if err != nil || s.Assumed != "" {
		return 0, err
	}
	return s.Figures.Hz[0], nil
}
