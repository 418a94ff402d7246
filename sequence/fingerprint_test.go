package sequence_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence"
)

// The fingerprint of every built-in frame by every built-in sheet stays what it is: open jobs and printed tickets name it.
func TestFingerprintsStay(t *testing.T) {
	var b strings.Builder
	for _, frame := range library.Layouts() {
		for _, sheet := range library.Techniques() {
			p, err := sequence.Build(layout(t, frame), builtIn(t, sheet), kg(t, "24 kg"), kg(t, "23 kg"))
			if err != nil {
				continue // the frame does not take the sheet
			}
			fmt.Fprintf(&b, "%s %s %s\n", p.Plan, frame, sheet)
		}
	}
	path := filepath.Join("..", "testdata", "plans", "fingerprints.txt")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String())
}
