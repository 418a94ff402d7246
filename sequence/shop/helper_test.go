package shop

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/book"
	"pullcard/sequence/progress"
)

// newShop is a shop with an empty book, on the files of this machine.
func newShop(t testing.TB) *Shop {
	t.Helper()
	b, err := book.Open(context.Background(), filepath.Join(t.TempDir(), "book.db"))
	require.NoError(t, err)
	t.Cleanup(func() { b.Close() })
	return &Shop{Files: disk().Keeping(b), Book: b, Now: time.Now, Stringer: "Cy (invented)"}
}

func disk() Files {
	return Files{Read: os.ReadFile, Whole: func(path string) string {
		abs, err := filepath.Abs(path)
		if err != nil {
			return path
		}
		return abs
	}}
}

// finish strings a job of the book to its end, from a beginning and with some time for each step.
func finish(t testing.TB, s *Shop, uid string, from time.Time, step time.Duration) {
	t.Helper()
	ctx := context.Background()
	job, err := s.Open(ctx, uid)
	require.NoError(t, err)
	for n := range job.Plan.Steps {
		require.NoError(t, job.Recorder.Record(ctx, progress.Event{At: from.Add(time.Duration(n) * step), Kind: progress.Done, Step: n + 1}))
	}
}

// files writes files into a folder and returns the path of the first.
func files(t testing.TB, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i < len(names); i += 2 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, names[i]), []byte(names[i+1]), 0o600))
	}
	return filepath.Join(dir, names[0])
}
