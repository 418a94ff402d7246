package progress_test

import (
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
)

// build is a plan for a built-in layout by a built-in sheet.
func build(t require.TestingT, frame, sheet string) (*plan.Plan, error) {
	data, ok := library.Layout(frame)
	require.True(t, ok, frame)
	f, _, err := patterns.ReadLayout(frame, data)
	require.NoError(t, err)
	data, ok = library.Technique(sheet)
	require.True(t, ok, sheet)
	technique, _, err := sequence.ReadTechnique(sheet, data)
	require.NoError(t, err)
	mains, err := measure.ParseTension("24 kg")
	require.NoError(t, err)
	crosses, err := measure.ParseTension("23 kg")
	require.NoError(t, err)
	return sequence.Build(f, technique, mains, crosses)
}

// done does the current step.
func done(t require.TestingT, s progress.State) progress.State {
	next, err := s.Apply(progress.Event{Kind: progress.Done, Step: s.Current()})
	require.NoError(t, err)
	return next
}
