// Package sequencetest makes works of built-in layouts and technique sheets for tests; jobs and what is not built in are invented.
//
// Call Of, or Try where a sheet may not go with a layout.
package sequencetest

import (
	"strings"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/sequence"
	"pullcard/sequence/plan"
)

// Work is a job with what it is made of, and its plan: the fields of calc.Work.
type Work struct {
	Frame     *patterns.Frame
	Technique *sequence.Technique
	Job       *sequence.Job
	Plan      *plan.Plan
	Between   func() // as calc.Work has it
}

// Flying is a sheet for clamps that grip two neighbours.
const Flying = "name = \"Flying clamps\"\n[clamps]\nflying = 2\n"

// Tension is what a job orders that says nothing else, in kg.
const Tension = "[tension]\nmains = \"24 kg\"\ncrosses = \"23 kg\"\n"

// Layout reads a layout: a built-in one by its name, or a text of several lines.
func Layout(t require.TestingT, layout string) *patterns.Frame {
	f, _, err := patterns.ReadLayout(named(t, "layout.toml", layout, library.Layout))
	require.NoError(t, err)
	return f
}

// Sheet reads a technique sheet, likewise.
func Sheet(t require.TestingT, sheet string) *sequence.Technique {
	s, _, err := sequence.ReadTechnique(named(t, "sheet.toml", sheet, library.Technique))
	require.NoError(t, err)
	return s
}

func named(t require.TestingT, text, name string, builtIn func(string) ([]byte, bool)) (file string, data []byte) {
	if strings.Contains(name, "\n") {
		return text, []byte(name)
	}
	data, ok := builtIn(name)
	require.True(t, ok, name)
	return name, data
}

// Try makes the work of a layout by a sheet, with the lines of a job below frame and technique; without any it orders Tension. The
// error says why there is no plan.
func Try(t require.TestingT, layout, sheet string, job ...string) (Work, error) {
	return Make(t, Layout(t, layout), Sheet(t, sheet), job...)
}

// Make is Try with a layout and a sheet that were read and may have been changed.
func Make(t require.TestingT, f *patterns.Frame, s *sequence.Technique, job ...string) (w Work, err error) {
	if len(job) == 0 {
		job = []string{Tension}
	}
	j, _, err := sequence.ReadJob("job.toml", []byte("frame = \"f\"\ntechnique = \"t\"\n"+strings.Join(job, "")))
	require.NoError(t, err)
	w = Work{Frame: f, Technique: s, Job: j}
	w.Plan, err = j.Plan(f, s)
	return w, err
}

// Of is Try where there is a plan.
func Of(t require.TestingT, layout, sheet string, job ...string) Work {
	w, err := Try(t, layout, sheet, job...)
	require.NoError(t, err)
	return w
}
