package progress_test

import (
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// done does the current step.
func done(t require.TestingT, s progress.State) progress.State {
	next, err := s.Apply(progress.Event{Kind: progress.Done, Step: s.Current()})
	require.NoError(t, err)
	return next
}
