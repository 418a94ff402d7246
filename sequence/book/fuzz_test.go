package book

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
	"pullcard/sequence/progress"
	"pullcard/sequence/records"
)

// watch ends the test when it takes so long that it must hang.
func watch() (stop func() bool) {
	return time.AfterFunc(20*time.Second, func() { panic("this input hangs the reader") }).Stop
}

// small is the file of a closed book with one player, one job and three events, and what stands in it.
func small(f *testing.F) (file []byte, stands map[string]string) {
	f.Helper()
	b := fresh(f)
	added(f, b, records.KindPlayer, records.Fields{"name": "Somebody (invented)"})
	id := newJob(f, b, 2)
	note := event(progress.Note, 2)
	note.Why = "smells of camphor"
	do(f, b, id, 0, event(progress.Done, 1), note, event(progress.Done, 2))
	require.NoError(f, b.Close())
	stands = content(f, b)
	file, err := os.ReadFile(b.path)
	require.NoError(f, err)
	return file, stands
}

// Whatever an export says, it is taken in whole and fits together, or nothing of it is and the error names the file.
func FuzzImport(f *testing.F) {
	file, stands := small(f)
	theirs, err := os.ReadFile(takenOut(f, invite(f, fresh(f)).Book))
	require.NoError(f, err)
	f.Add(theirs)
	for i, line := range bytes.SplitAfter(theirs, []byte("\n")) {
		if sweep.Take(i, 8) {
			f.Add(bytes.Replace(theirs, line, nil, 1))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		defer watch()()
		dir := t.TempDir()
		path, export := filepath.Join(dir, "book"), filepath.Join(dir, "export")
		require.NoError(t, os.WriteFile(path, file, 0o600))
		require.NoError(t, os.WriteFile(export, data, 0o600))
		b := open(t, path)
		if _, err := b.Import(context.Background(), export, clock(100), nil); err != nil {
			require.ErrorContains(t, err, export)
			require.Equal(t, stands, content(t, b))
		}
		requireSound(t, b)
	})
}

// Whatever bytes lie in a book's file, opening and checking it ends, and what a check calls whole says what it said before.
func FuzzOpen(f *testing.F) {
	file, stands := small(f)
	f.Add(uint32(0), []byte{}, uint32(len(file)))
	for at := 0; at < len(file); at += 1009 {
		if sweep.Take(at/1009, 10) {
			f.Add(uint32(at), []byte{0xff, 0x01}, uint32(len(file)))
		}
	}
	f.Add(uint32(0), []byte("SQLite format 3\x00"), uint32(100))
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, length uint32) {
		defer watch()()
		spoiled := bytes.Clone(file)
		copy(spoiled[min(int(at), len(file)):], patch)
		path := filepath.Join(t.TempDir(), "book")
		require.NoError(t, os.WriteFile(path, spoiled[:min(int(length), len(file))], 0o600))
		b, err := OpenExisting(context.Background(), path)
		if err != nil {
			require.ErrorContains(t, err, path)
			return
		}
		defer b.Close()
		c, err := b.Check(context.Background(), nil)
		if err == nil && len(c.Findings) == 0 {
			require.Equal(t, stands, content(t, b))
		}
	})
}

// Whatever another bench gives to a room, what is taken of it fits together, and what is not is kept or refused.
func FuzzTake(f *testing.F) {
	file, _ := small(f)
	theirs := logOf(f, invite(f, fresh(f)).Book, nil)
	for i, r := range theirs {
		f.Add(i, r.Kind, r.Body)
	}
	f.Fuzz(func(t *testing.T, at int, kind string, body []byte) {
		defer watch()()
		path := filepath.Join(t.TempDir(), "book")
		require.NoError(t, os.WriteFile(path, file, 0o600))
		b := open(t, path)
		rows, before := slices.Clone(theirs), make([]byte, 32)
		at = int(uint(at) % uint(len(rows)))
		rows[at].Kind, rows[at].Body, rows[at].Digest = kind, body, digestOf(body)
		for i := range rows { // whoever writes a row makes its chain
			r := &rows[i]
			r.Bench, r.Epoch, r.Seq = "Z", "0123456789abcdef", int64(i+1)
			before = r.Chain(before)
			r.Hash = before
		}
		_, err := b.Take(context.Background(), rows, clock(100))
		require.NoError(t, err)
		requireSound(t, b)
	})
}
