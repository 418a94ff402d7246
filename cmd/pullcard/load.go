package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	proof "pullcard/sequence/shop" // until the commands use it for all
)

// work is a job with all that its files mean, and the plan made of them.
type work struct {
	job       *sequence.Job
	frame     *patterns.Frame
	technique *sequence.Technique
	plan      *plan.Plan
	source    []byte          // the job file
	warnings  source.Problems // of the files; those of the plan are in the plan
}

// loadWork reads a job and the files that it names, makes the plan and proves it. The error is a source.Problems with
// everything that is wrong in all of the files.
func loadWork(path string) (*work, error) {
	data, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return readWork(path, data)
}

// loadAsked is loadWork of what a command was asked to read.
func loadAsked(c *cobra.Command, path string) (*work, error) {
	data, err := readAsked(c, path)
	if err != nil {
		return nil, err
	}
	return readWork(path, data)
}

func readWork(path string, data []byte) (*work, error) {
	job, warnings, err := sequence.ReadJob(path, data)
	if job == nil {
		return nil, err
	}
	w := &work{job: job, source: data, warnings: warnings}
	if err := errors.Join(err, w.readFrame(path), w.readTechnique(path)); err != nil {
		return nil, flat(err)
	}
	w.plan, err = job.Plan(w.frame, w.technique)
	if err != nil {
		return nil, err
	}
	return w, proof.Prove(w.plan)
}

func (w *work) readFrame(job string) error {
	if !w.job.Frame.Given {
		return nil // which was said already
	}
	file, data, err := named(job, w.job.Frame, "layout", library.Layout, library.Layouts)
	if err != nil {
		return err
	}
	f, warnings, err := patterns.ReadLayout(file, data)
	w.frame, w.warnings = f, append(w.warnings, warnings...)
	return err
}

func (w *work) readTechnique(job string) error {
	if !w.job.Technique.Given {
		return nil // which was said already
	}
	file, data, err := named(job, w.job.Technique, "technique sheet", library.Technique, library.Techniques)
	if err != nil {
		return err
	}
	t, warnings, err := sequence.ReadTechnique(file, data)
	w.technique, w.warnings = t, append(w.warnings, warnings...)
	return err
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
func named(job string, ref source.Text, what string, builtIn func(string) ([]byte, bool), list func() []string) (string, []byte, error) {
	if data, ok := builtIn(ref.S); ok {
		return ref.S, data, nil
	}
	path := ref.S
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(job), path)
	}
	data, err := slurp(path)
	if err == nil {
		return path, data, nil
	}
	text := fmt.Sprintf("%q is neither a built-in %s nor a file that can be read (%s)", ref.S, what, reason(err))
	if near := source.Nearest(ref.S, list()); near != "" {
		text += fmt.Sprintf("; did you mean %q?", near)
	} else {
		text += "; built in are " + strings.Join(list(), ", ")
	}
	return "", nil, source.Problem{File: job, Pos: ref.Pos, Text: text}
}

// readFile reads a whole file; the error says which and why, and what to do.
func readFile(path string) ([]byte, error) {
	data, err := slurp(path)
	return data, unread(path, err)
}

// readAsked is readFile of what a command was asked to read.
func readAsked(c *cobra.Command, path string) ([]byte, error) {
	f, err := openInput(c, path)
	if err != nil {
		return nil, unread(path, err)
	}
	data, err := all(f)
	return data, unread(path, err)
}

func unread(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("%s: interrupted while it was read", path)
	}
	return fmt.Errorf("%s: %s; name a file that can be read", cmp.Or(path, `""`), reason(err))
}

func slurp(path string) ([]byte, error) {
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	return all(f)
}

// all reads up to the limit, whatever the size is said to be, and closes.
func all(f io.ReadCloser) ([]byte, error) {
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, source.Limit+1))
	if err == nil && len(data) > source.Limit {
		err = fmt.Errorf("it has more than the %d bytes that are read", source.Limit)
	}
	return data, err
}

// reason is why a file could not be read, without its name.
func reason(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return "no such file"
	}
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
