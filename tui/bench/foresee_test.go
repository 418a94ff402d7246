package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What was foreseen of a step stands on it before it is done, and on no other.
func TestForeseen(t *testing.T) {
	m := Model{job: Job{Foresee: func() map[int][]string { return map[int][]string{2: {"the support head will carry 900 N"}} }}}
	cmd := m.foresee()
	require.NotNil(t, cmd)
	m, _ = m.Update(cmd())
	assert.Equal(t, []string{"the support head will carry 900 N"}, m.foreseen[2])
	assert.Empty(t, m.foreseen[3])
	assert.Nil(t, Model{}.foresee())
}
