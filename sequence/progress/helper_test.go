package progress

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
)

// at is a job of which so many steps are done.
func at(t *testing.T, p *plan.Plan, done int) State {
	t.Helper()
	s := Start(p)
	for range done {
		var err error
		s, err = s.Apply(Event{Kind: Done, Step: s.Current()})
		require.NoError(t, err)
	}
	return s
}
