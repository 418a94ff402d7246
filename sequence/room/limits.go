package room

import "time"

// Limits are how long a bench waits for a server that does not answer. Nothing on a screen waits for any of it.
type Limits struct {
	Connect   time.Duration // to be let in
	Statement time.Duration // for one answer, at the server and at this end
	Keepalive time.Duration // between looks whether a silent server is there, of which four may fail
	Unacked   time.Duration // for what was sent to be received (TCP_USER_TIMEOUT, where the system has that)
	Poll      time.Duration // between looks where nobody says that there is something new
}

// UsualLimits are limits for a venue.
func UsualLimits() Limits {
	return Limits{Connect: 5 * time.Second, Statement: 10 * time.Second, Keepalive: 10 * time.Second, Unacked: 15 * time.Second, Poll: 3 * time.Second}
}
