package book

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/progress"
)

// On a disk that other machines may write to a book is neither made nor opened; where only a person knows what a disk is, that is asked.
func TestSharedDisks(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "shop", "book")
	on := func(kind string) way { return way{medium: func(string) string { return kind }} }
	for kind := range networks() {
		_, err := on(kind).open(ctx, path)
		shared := (*SharedError)(nil)
		require.ErrorAs(t, err, &shared)
		assert.Equal(t, SharedError{Path: path, Disk: kind}, *shared)
		assert.ErrorContains(t, err, "network disk ("+kind+")")
		assert.ErrorContains(t, err, "--network-disk")
	}
	assert.NoDirExists(t, filepath.Dir(path))
	require.NoError(t, open(t, path).Close())
	for _, kind := range []string{"fuse", "fuse.macfuse"} {
		_, err := on(kind).openExisting(ctx, path)
		shared := (*SharedError)(nil)
		require.ErrorAs(t, err, &shared)
		assert.True(t, shared.Asks, kind)
	}
	for _, kind := range []string{"", "apfs", "ufs"} {
		b, err := on(kind).openExisting(ctx, path)
		require.NoError(t, err, kind)
		require.NoError(t, b.Close())
	}
	assert.Empty(t, medium(t.TempDir()), "a disk of this machine")
}

// A book that is open alone has no write-ahead log, and nobody else opens it, on whichever machine; closed it is as any other.
func TestAlone(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "book")
	newJob(t, open(t, path), 20) // with a log
	b, err := OpenAlone(ctx, path)
	assert.ErrorContains(t, err, "locked", "somebody has it open as usual")
	assert.Nil(t, b)
	assert.NoFileExists(t, path+"-alone")

	other := filepath.Join(t.TempDir(), "book")
	first := open(t, other)
	id := newJob(t, first, 20)
	require.NoError(t, first.Close())
	b, err = OpenExistingAlone(ctx, other)
	require.NoError(t, err)
	do(t, b, id, 0, event(progress.Done, 1), event(progress.Done, 2))
	for _, more := range []string{"-wal", "-shm"} {
		assert.NoFileExists(t, other+more)
	}
	host, err := os.Hostname()
	require.NoError(t, err)
	for name, again := range map[string]func(context.Context, string) (*Book, error){"Open": Open, "OpenExisting": OpenExisting, "OpenAlone": OpenAlone} {
		_, err := again(ctx, other)
		assert.ErrorContains(t, err, fmt.Sprintf("open alone on the machine %q (process %d", host, os.Getpid()), name)
	}
	copied := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, b.Backup(ctx, copied, nil))
	require.NoError(t, b.Close())
	for _, each := range []string{other, copied} {
		b, err = OpenExisting(ctx, each)
		require.NoError(t, err)
		j, err := b.Job(ctx, id)
		require.NoError(t, err)
		assert.Len(t, j.Events, 2)
		requireSound(t, b)
		require.NoError(t, b.Close())
	}
}

// A sign that a program left which was ended is taken away where that can be known; the sign of another machine stays, and says what to do.
func TestSignsLeftBehind(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "book")
	require.NoError(t, open(t, path).Close())
	ended := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, ended.Run())
	host, err := os.Hostname()
	require.NoError(t, err)
	sign := func(s sole) {
		text, err := json.Marshal(s)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path+"-alone", text, 0o600))
	}
	sign(sole{Host: host, PID: ended.Process.Pid})
	b, err := OpenAlone(ctx, path)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	assert.NoFileExists(t, path+"-alone")

	sign(sole{Host: "invented-" + host, PID: ended.Process.Pid})
	_, err = Open(ctx, path)
	assert.ErrorContains(t, err, "invented-"+host)
	assert.ErrorContains(t, err, "remove "+path+"-alone")
	require.NoError(t, os.WriteFile(path+"-alone", []byte("{"), 0o600))
	_, err = OpenAlone(ctx, path)
	assert.ErrorContains(t, err, "but not who")
	assert.FileExists(t, path+"-alone")
}
