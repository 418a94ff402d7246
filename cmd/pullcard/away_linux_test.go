package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// away are the ways in which a book goes away under a bench.
func away(t *testing.T, old string) []func(path string) {
	done := func(err error) { t.Helper(); require.NoError(t, err) }
	text, err := os.ReadFile(old)
	done(err)
	return []func(path string){
		func(path string) { done(os.Remove(path)) },
		func(path string) {
			for _, more := range []string{"", "-wal", "-shm"} {
				done(os.Remove(path + more))
			}
		},
		func(path string) { done(os.RemoveAll(filepath.Dir(path))) },
		func(path string) { done(os.Rename(path, path+".old")) },
		func(path string) {
			done(os.WriteFile(path+".new", text, 0o600))
			done(os.Rename(path+".new", path))
		},
		func(path string) { done(os.WriteFile(path, text, 0o600)) },
		func(path string) { done(os.WriteFile(path, []byte(strings.Repeat("dear diary ", 9000)), 0o600)) },
		func(path string) { done(os.Truncate(path, 0)) },
		func(path string) { done(os.Truncate(path, 5000)) },
		func(path string) { done(os.Link(path, path+".too")) },
		func(path string) { done(os.Remove(path + "-wal")) },
	}
}

// TestBookTakenFromTheBench: at a random step of a whole job the book goes away in some way. The terminal is told where the
// work is kept, the job goes on to its end, and what the screen showed as done is taken back by an import.
func TestBookTakenFromTheBench(t *testing.T) {
	t.Parallel()
	bin, job := build(t), benchJob(t, "job.toml", "blue")
	old := filepath.Join(t.TempDir(), "old.db")
	require.NoError(t, exec.Command(bin, "book", "player", "add", "--name", "Ada (invented)", "--book", old).Run())
	ways, rescued := away(t, old), 0
	const cases = 100
	for i := range cases {
		if !sweep.Take(i, 100) {
			continue
		}
		seed := rand.Uint64()
		random := rand.New(rand.NewPCG(seed, 0))
		t.Run(fmt.Sprintf("way %d", i%len(ways)), func(t *testing.T) {
			t.Logf("seed %d", seed)
			if takenAt(t, bin, job, 1+random.IntN(steps), ways[i%len(ways)]) {
				rescued++
			}
		})
	}
	assert.Positive(t, rescued)
	t.Logf("%d rescued", rescued)
}

func takenAt(t *testing.T, bin, job string, at int, take func(path string)) (rescued bool) {
	base, err := os.MkdirTemp("", "pc")
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(base) })
	book := filepath.Join(base, "house", "book.db")
	l := newLine(t, [2]int{100, 30}, []string{"XDG_DATA_HOME=" + filepath.Join(base, "d")}, exec.Command(bin, "bench", "--hold", "0s", "--book", book, job))
	before, gone := 0, 0
	for n := 1; n <= steps; n++ {
		l.until(fmt.Sprintf("%d/%d", n, steps), before, patience)
		if n == at {
			take(book)
			gone = l.so()
		}
		before = l.so()
		l.write(" ")
	}
	l.until("STRUNG", before, patience)
	before = l.so()
	l.write("q")
	ended := l.end()
	files, err := filepath.Glob(filepath.Join(base, "d", "pullcard", "rescue-*.db"))
	require.NoError(t, err)
	into := book
	if len(files) > 0 { // else what was taken stood beside the book in its journal
		require.Len(t, files, 1)
		told := l.all()
		assert.Contains(t, told[gone:before], "NOT IN THE BOOK but in "+files[0], "on the screen")
		assert.Contains(t, told[before:], files[0], "when the screens are gone")
		assert.Error(t, ended, "the exit status tells too")
		into = filepath.Join(base, "again.db")
		out, err := exec.Command(bin, "book", "import", files[0], "--book", into).CombinedOutput()
		require.NoError(t, err, "%s", out)
	} else {
		require.NoError(t, ended)
	}
	out, err := exec.Command(bin, "book", "check", "--book", into).CombinedOutput()
	require.NoError(t, err, "%s", out)
	jobs := exported(t, bin, into)
	require.Len(t, jobs, 1)
	assert.Equal(t, "done", jobs[0].State)
	require.Len(t, jobs[0].Events, steps)
	for n, e := range jobs[0].Events {
		require.Equal(t, typed{Kind: "done", Step: n + 1}, e)
	}
	return len(files) > 0
}

// A book that is made is told of on the first screen, whole, so that a slip in its name is seen.
func TestNewBookOnTheFirstScreen(t *testing.T) {
	t.Parallel()
	bin, job := build(t), benchJob(t, "job.toml", "blue")
	for shown, args := range map[string][]string{"which racket goes on the bench?": {}, "1/64": {"bench", job}} {
		book := filepath.Join(t.TempDir(), "bok.db")
		start := func() *line {
			return newLine(t, [2]int{200, 60}, nil, exec.Command(bin, append(args, "--book", book)...))
		}
		l := start()
		l.until("a new book was made: "+book, 0, patience)
		l.write("q")
		require.NoError(t, l.end())
		l = start()
		l.until(shown, 0, patience)
		l.write("q")
		require.NoError(t, l.end())
		assert.NotContains(t, l.all(), "a new book was made")
	}
}
