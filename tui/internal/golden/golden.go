// Package golden is what the tests of all screens ask of a frame: that it fits its terminal, and that it is the one that
// was kept.
package golden

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Exact requires that a frame has so many lines of so many cells.
func Exact(t testing.TB, frame string, width, height int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	require.Len(t, lines, height)
	for _, l := range lines {
		require.Equal(t, width, lipgloss.Width(l), "%q", l)
	}
}

// Check holds a frame against the one that is kept under a name for a package two folders below the top; with update it
// is kept anew.
func Check(t testing.TB, update bool, name, got string) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "frames", name+".txt")
	if update {
		require.NoError(t, os.WriteFile(path, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got+"\n", name)
}
