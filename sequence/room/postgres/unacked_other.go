//go:build !linux

package postgres

import (
	"syscall"
	"time"
)

// unacked leaves to the system how long what was sent may stay unreceived.
func unacked(time.Duration) func(network, address string, c syscall.RawConn) error { return nil }
