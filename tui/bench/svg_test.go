package bench

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/tui/internal/golden"
	"pullcard/tui/internal/picture"
)

// The README's pictures are what the bench paints, put into SVG: go test ./tui/bench -run Pictures -update
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name, theme string
		done        int
		w, h        int
	}{{"bench", "dark", 33, 120, 40}, {"bench-light", "light", 18, 80, 24}} {
		r := newRig(t, "club-sixteen", "two-piece-skip").times(c.done, "space")
		r.m = r.m.SetTheme(golden.Theme(t, c.theme, termenv.TrueColor)).SetSize(c.w, c.h)
		got := picture.SVG(r.m.View())
		path := filepath.Join("..", "..", "testdata", "pictures", c.name+".svg")
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), got, "the picture is not what the bench paints now; write it anew with -update")
		require.NoError(t, xml.Unmarshal([]byte(got), new(any)))
	}
}
