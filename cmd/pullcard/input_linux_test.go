//go:build linux

package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// awaitTaken waits until a pipe is empty, which is when its reader has come to read.
func awaitTaken(t *testing.T, pipe *os.File) {
	t.Helper()
	raw, err := pipe.SyscallConn()
	require.NoError(t, err)
	for range 6000 {
		left := 0
		require.NoError(t, raw.Control(func(fd uintptr) { left, err = unix.IoctlGetInt(int(fd), unix.TIOCINQ) }))
		require.NoError(t, err)
		if left == 0 {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("nobody reads")
}

// Whatever reads what is piped in ends by the first signal while it waits for more.
func TestFirstSignalEndsAnyReading(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		for _, args := range []string{"steps -", "check -", "cut -", "bed -", "tap -", "ticket - --steps-card none.pdf"} {
			t.Run(args+" "+signal.String(), func(t *testing.T) {
				t.Parallel()
				c := exec.Command(self, strings.Fields(args)...)
				c.Args[0] = "pullcard" // under that name this binary is the program
				c.Dir = t.TempDir()
				read, in, err := os.Pipe()
				require.NoError(t, err)
				defer read.Close()
				defer in.Close()
				c.Stdin = read
				var out, wrong bytes.Buffer
				c.Stdout, c.Stderr = &out, &wrong
				require.NoError(t, c.Start())
				_, err = io.WriteString(in, "R")
				require.NoError(t, err)
				awaitTaken(t, read)
				require.NoError(t, c.Process.Signal(signal))
				ended := make(chan error, 1)
				go func() { ended <- c.Wait() }()
				select {
				case err := <-ended:
					require.Error(t, err)
					assert.Equal(t, exitInput, c.ProcessState.ExitCode(), "%s", wrong.String())
				case <-time.After(time.Minute):
					_ = c.Process.Kill()
					t.Fatal("it reads on")
				}
				assert.Empty(t, out.String())
				assert.Contains(t, wrong.String(), "interrupted")
				assert.NoFileExists(t, c.Dir+"/none.pdf")
			})
		}
	}
}
