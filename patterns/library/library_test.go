package library

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
)

// Every built-in layout reads without a word of complaint.
func TestLayoutsRead(t *testing.T) {
	for _, name := range Layouts() {
		data, ok := Layout(name)
		require.True(t, ok)
		_, warnings, err := patterns.ReadLayout(name, data)
		require.NoError(t, err)
		assert.Empty(t, warnings)
	}
}
