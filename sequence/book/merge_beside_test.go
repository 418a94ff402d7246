package book

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
)

// A bench writes into the book while another one's book is taken in, and nothing is lost.
func TestImportBesideABench(t *testing.T) {
	sweep.Only(t)
	ctx, jobs := context.Background(), sweep.Share(120, 3)
	whole := filepath.Join(t.TempDir(), "whole")
	require.NoError(t, open(t, BigBook(t, jobs)).ExportAll(ctx, whole, nil))
	path := filepath.Join(t.TempDir(), "book")
	bench, office := open(t, path), open(t, path)
	sqlExec(t, bench.db, "PRAGMA busy_timeout = 60000") // nothing is timed here, and a machine may be slow
	id := newJob(t, bench, 2000)

	var told []string
	done := make(chan error, 1)
	go func() {
		m, err := office.Import(ctx, whole, clock(0), func(what string, _, _ int) {
			if len(told) == 0 || told[len(told)-1] != what {
				told = append(told, what)
			}
		})
		assert.Equal(t, jobs, m.Jobs.Added)
		done <- err
	}()
	n := 0
	for over := false; !over && n < 2000; n++ {
		require.NoError(t, bench.Append(ctx, id, n, event(progress.Done, n+1)))
		select {
		case err := <-done:
			require.NoError(t, err)
			over = true
		case <-time.After(20 * time.Millisecond): // no stringer is faster
		}
	}
	if n == 2000 {
		require.NoError(t, <-done)
	}
	assert.Greater(t, n, 3, "the bench went on meanwhile")
	assert.Equal(t, []string{"tried", "taken in"}, told)
	j, err := bench.Job(ctx, id)
	require.NoError(t, err)
	assert.Len(t, j.Events, n)
	requireSound(t, bench)
}

// What is wrong at the end of a file is found before anything is taken in.
func TestImportTriesEverythingFirst(t *testing.T) {
	ctx, b := context.Background(), fresh(t)
	whole := filepath.Join(t.TempDir(), "whole")
	require.NoError(t, open(t, BigBook(t, sweep.Share(150, 5))).ExportAll(ctx, whole, nil))
	cutOff(t, whole)
	before := exported(t, b)
	_, err := b.Import(ctx, whole, clock(0), nil)
	require.ErrorContains(t, err, "the file is cut off")
	assert.Equal(t, before, exported(t, b))
	var n int
	require.NoError(t, b.db.QueryRow("SELECT count(*) FROM records").Scan(&n))
	assert.Zero(t, n)
}

// cutOff takes the last line away.
func cutOff(t *testing.T, path string) {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n")
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines[:len(lines)-1], "")), 0o600))
}
