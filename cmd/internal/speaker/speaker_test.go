package speaker

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A program that records what it hears: each text comes whole, on a process of its own, and its input is closed.
func TestHeard(t *testing.T) {
	heard := filepath.Join(t.TempDir(), "heard")
	s := New(fmt.Sprintf("{ echo $$; cat; } >> %q", heard))
	for i, text := range []string{"main three right; up at three head; twenty-four", "B off; B on; ease"} {
		s.Say(i+1, text)
		require.Eventually(t, func() bool {
			data, _ := os.ReadFile(heard)
			return strings.Contains(string(data), text+"\n")
		}, 20*time.Second, 5*time.Millisecond)
		s.running.Wait() // it ends by itself
	}
	s.Say(1, "too late")
	s.Close()
	data, err := os.ReadFile(heard)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	require.Len(t, lines, 4, "%s", data)
	assert.NotEqual(t, lines[0], lines[2], "one process a text")
}

// A new text ends the process of the old one, and all that it started, and Close the last.
func TestNewEndsOld(t *testing.T) {
	dir := t.TempDir()
	s := New(fmt.Sprintf("read name; echo begun > %q/$name; sleep 600 | cat; echo ended > %q/$name", dir, dir))
	begun := func(name string) {
		require.Eventually(t, func() bool { data, _ := os.ReadFile(filepath.Join(dir, name)); return len(data) > 0 }, 20*time.Second, 5*time.Millisecond)
	}
	s.Say(1, "one")
	begun("one")
	s.Say(2, "two")
	begun("two")
	s.Close() // it would wait ten minutes for a sleep that was left alive
	for _, name := range []string{"one", "two"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.Equal(t, "begun\n", string(data))
	}
}

// What is missing, fails or never reads delays nothing: Say returns before the program could have been waited for.
func TestNothingWaits(t *testing.T) {
	for _, command := range []string{"/no/such/voice", "exit 7", "sleep 600"} {
		s := New(command)
		for n := range 20 {
			s.Say(n+1, strings.Repeat("a long text ", 20000)) // more than a pipe holds
		}
		s.Close()
	}
}

// A real voice writes a sound that is longer for longer words.
func TestRealVoice(t *testing.T) {
	if _, err := exec.LookPath("espeak-ng"); err != nil {
		t.Skip("SKIPPED: espeak-ng is not there; install espeak-ng")
	}
	size := func(text string) int64 {
		file := filepath.Join(t.TempDir(), "said.wav")
		s := New(fmt.Sprintf("espeak-ng -s 170 -w %q", file))
		s.Say(1, text)
		s.running.Wait()
		info, err := os.Stat(file)
		require.NoError(t, err)
		return info.Size()
	}
	short, long := size("ease"), size("main three right; up at three head; twenty-four")
	assert.Greater(t, short, int64(10000))
	assert.Greater(t, long, 2*short)
}
