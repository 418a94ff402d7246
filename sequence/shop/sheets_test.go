package shop

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/library"
	"pullcard/sequence/records"
)

// The house's sheets are the built-in ones and those that jobs were to be strung by; a file that is gone is told.
func TestSheets(t *testing.T) {
	s, dir := newShop(t), t.TempDir()
	mine, gone := filepath.Join(dir, "mine.toml"), filepath.Join(dir, "gone.toml")
	for _, path := range []string{mine, gone} {
		require.NoError(t, os.WriteFile(path, []byte("name = \"Ours\"\n"), 0o600))
	}
	player, err := s.Add(context.Background(), records.KindPlayer, records.Fields{"name": "Ada (invented)"}, time.Now())
	require.NoError(t, err)
	for i, sheet := range []string{"two-piece-skip", mine, gone, mine} {
		racket, err := s.Add(context.Background(), records.KindRacket, records.Fields{"player": player.UID, "mark": fmt.Sprint("blue ", i)}, time.Now())
		require.NoError(t, err)
		_, err = s.Add(context.Background(), records.KindJob, records.Fields{"racket": racket.UID, "frame": "club-sixteen", "technique": sheet, "tension": "24 kg"}, time.Now())
		require.NoError(t, err)
	}
	require.NoError(t, os.Remove(gone))
	own, err := s.Technique("two-piece-skip")
	require.NoError(t, err)
	sheets, err := s.Sheets(context.Background(), own)
	assert.ErrorContains(t, err, gone)
	assert.NotContains(t, err.Error(), "mine.toml")
	var names []string
	for _, x := range sheets {
		names = append(names, x.Name)
	}
	assert.Len(t, names, len(library.Techniques())) // without its own, with ours
	assert.Contains(t, names, "Ours")
	assert.NotContains(t, names, own.Name)
}
