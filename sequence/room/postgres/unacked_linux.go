package postgres

import (
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// unacked sets how long what was sent may stay unreceived before a connection is given up.
func unacked(d time.Duration) func(network, address string, c syscall.RawConn) error {
	return func(network, _ string, c syscall.RawConn) (err error) {
		if network == "unix" {
			return nil
		}
		wrong := c.Control(func(fd uintptr) {
			err = unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, unix.TCP_USER_TIMEOUT, int(d.Milliseconds()))
		})
		if wrong != nil {
			return wrong
		}
		return err
	}
}
