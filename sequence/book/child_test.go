package book

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
)

// childVar makes this test binary append events to a job, "book:job:events", and say the number of each on its
// standard output once it is in the book.
const childVar = "PULLCARD_TEST_APPEND"

func TestMain(m *testing.M) {
	if order := os.Getenv(childVar); order != "" {
		if err := appendForever(order); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func appendForever(order string) error {
	ctx := context.Background()
	parts := strings.Split(order, ":")
	job, _ := strconv.ParseInt(parts[1], 10, 64)
	events, _ := strconv.Atoi(parts[2])
	b, err := Open(ctx, parts[0])
	if err != nil {
		return err
	}
	defer b.Close()
	j, err := b.Job(ctx, job)
	if err != nil {
		return err
	}
	s, err := progress.Fold(j.Plan, j.Events)
	if err != nil {
		return err
	}
	for n := len(j.Events); n < events; n++ {
		e := progress.Event{At: clock(n), Kind: progress.Done, Step: s.Current(), Why: strconv.Itoa(n)}
		switch {
		case s.Status() != progress.Open:
			e.Kind = progress.Back
		case n%40 == 20:
			e.Kind, e.Plan = progress.Mishap, mended(s.Plan(), s.Last(), 1)
		case n%40 == 23 && s.CanBack():
			e.Kind = progress.Back
		}
		if s, err = s.Apply(e); err != nil {
			return err
		}
		if err = b.Append(ctx, job, n, e); err != nil {
			return err
		}
		fmt.Println(n)
	}
	return nil
}

// child starts this test binary on a job.
func child(t *testing.T, path string, job int64, events int) (*exec.Cmd, io.Reader) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s:%d:%d", childVar, path, job, events))
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return cmd, out
}

// said reads the numbers that a child said and returns the last one, -1 when it said none.
func said(t *testing.T, out io.Reader) int {
	t.Helper()
	last := -1
	for lines := bufio.NewScanner(out); lines.Scan(); {
		n, err := strconv.Atoi(lines.Text())
		require.NoError(t, err)
		last = n
	}
	return last
}

func TestKilledAtAnyMoment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	b := open(t, path)
	job := newJob(t, b, 30)
	require.NoError(t, b.Close())

	total, killed := 0, 0
	for killed < sweep.Share(20, 10) {
		cmd, out := child(t, path, job, 1<<30)
		wait := time.Duration(rand.IntN(200)) * time.Millisecond
		if killed%2 == 0 { // counted from the first event, however slow the machine is
			first := make([]byte, 1)
			_, err := io.ReadFull(out, first)
			require.NoError(t, err)
			out = io.MultiReader(bytes.NewReader(first), out)
		}
		timer := time.AfterFunc(wait, func() { cmd.Process.Kill() })
		last := said(t, out)
		err := cmd.Wait()
		timer.Stop()
		require.ErrorContains(t, err, "killed")
		killed++

		b, err := Open(context.Background(), path)
		require.NoError(t, err)
		j, err := b.Job(context.Background(), job)
		require.NoError(t, err)
		assert.Greater(t, len(j.Events), last, "killed after %v", wait)
		for i, e := range j.Events {
			require.Equal(t, strconv.Itoa(i), e.Why)
		}
		requireAsTold(t, b, job)
		require.NoError(t, b.Close())
		total = max(total, last+1)
	}
	require.Positive(t, total, "no child said anything")
	t.Logf("%d events said to be in the book", total)
}

func TestTwoProgramsAtOnce(t *testing.T) {
	const events = 100
	b := fresh(t)
	var cmds []*exec.Cmd
	var outs []io.Reader
	for range 2 {
		cmd, out := child(t, b.path, newJob(t, b, 30), events)
		cmds, outs = append(cmds, cmd), append(outs, out)
	}
	for i, cmd := range cmds {
		_, err := b.Jobs(context.Background(), Filter{}) // a third one reads meanwhile
		require.NoError(t, err)
		assert.Equal(t, events-1, said(t, outs[i]))
		require.NoError(t, cmd.Wait())
	}
	for id := range int64(2) {
		j, err := b.Job(context.Background(), id+1)
		require.NoError(t, err)
		assert.Len(t, j.Events, events)
	}
}
