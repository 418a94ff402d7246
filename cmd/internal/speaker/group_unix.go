//go:build unix

package speaker

import (
	"os/exec"
	"syscall"
)

// together ends with the shell all that it started.
func together(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
}
