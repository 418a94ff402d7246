// Package postgres is a room on a PostgreSQL server: the tables of one database, one connection a bench.
//
// Begin with At, which reads a URL as every program of that server takes it. Make makes or updates the room there, Join gives what
// a bench has of it. Rights prints what a venue's administrator runs to keep benches apart; State tells how the room stands.
package postgres

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"pullcard/sequence/room"
)

// Target is a database on a server that is to be reached in one way.
type Target struct {
	config *pgx.ConnConfig
	limits room.Limits
}

// At reads a URL or a list of keywords and values as libpq takes it: with a service file, a password file and the usual variables. One with a
// password in it is refused, as everybody on the machine may read it in the list of programs. Where it says nothing of
// encryption and is not of a socket on this machine the server has to prove with a certificate that it is the one named.
func At(text string, l room.Limits) (*Target, error) {
	if err := noPassword(text); err != nil {
		return nil, err
	}
	c, err := pgx.ParseConfig(text)
	if err == nil && prefers(c) && !states(text) {
		c, err = pgx.ParseConfig(with(text, "sslmode", "verify-full"))
	}
	if err != nil {
		return nil, fmt.Errorf("read the room's URL: %w; write one such as postgres://bench_k@server/room", err)
	}
	if err := settle(&l, c); err != nil {
		return nil, err
	}
	if c.ConnectTimeout == 0 {
		c.ConnectTimeout = l.Connect
	}
	c.RuntimeParams["application_name"] = "pullcard"
	c.RuntimeParams["statement_timeout"] = milliseconds(l.Statement)
	c.RuntimeParams["lock_timeout"] = milliseconds(l.Statement / 2)
	c.RuntimeParams["idle_in_transaction_session_timeout"] = milliseconds(l.Statement)
	c.RuntimeParams["enable_bitmapscan"] = "off" // rows are read in the order of an index, also before anybody has counted them
	d := &net.Dialer{Timeout: c.ConnectTimeout, Control: unacked(l.Unacked),
		KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: l.Keepalive, Interval: l.Keepalive, Count: 4}}
	c.DialFunc = d.DialContext
	return &Target{c, l}, nil
}

// connect reaches the server. The error says what would do.
func (t *Target) connect(ctx context.Context) (*pgx.Conn, error) {
	c, err := pgx.ConnectConfig(ctx, t.config)
	if err == nil || ctx.Err() != nil {
		return c, err
	}
	return nil, fmt.Errorf("%w; %s", err, t.remedy(err))
}

func (t *Target) remedy(err error) string {
	switch unknown := (x509.UnknownAuthorityError{}); {
	case code(err) == "3D000":
		return fmt.Sprintf("who may on the server makes it: createdb -O %s %s", t.config.User, t.config.Database)
	case strings.HasPrefix(code(err), "28"):
		return "see that the login may come in there, and that its line is in ~/.pgpass"
	case errors.As(err, &unknown):
		return "name the file of its certificate's authority in the URL, as ?sslrootcert=FILE"
	case strings.Contains(err.Error(), "refused TLS"): // the library has no type for it
		return "turn ssl on there, or, where nobody else can listen, say ?sslmode=disable in the URL"
	}
	return "see that the server runs there and that the URL leads to it"
}

func milliseconds(d time.Duration) string { return strconv.FormatInt(d.Milliseconds(), 10) }

// settle takes what libpq knows and the client library does not out of what would be told to the server.
func settle(l *room.Limits, c *pgx.ConnConfig) error {
	for key, to := range map[string]struct {
		d    *time.Duration
		unit time.Duration
	}{"keepalives_idle": {&l.Keepalive, time.Second}, "tcp_user_timeout": {&l.Unacked, time.Millisecond}} {
		if text, ok := c.RuntimeParams[key]; ok {
			n, err := strconv.Atoi(text)
			if err != nil || n < 0 {
				return fmt.Errorf("read the room's URL: %s=%.20q is no number", key, text)
			}
			*to.d = time.Duration(n) * to.unit
		}
	}
	for _, key := range []string{"keepalives", "keepalives_idle", "keepalives_interval", "keepalives_count", "tcp_user_timeout"} {
		delete(c.RuntimeParams, key)
	}
	return nil
}

// PasswordError reports a URL with a password in it.
type PasswordError struct{}

// Error says what to do.
func (*PasswordError) Error() string {
	return "the URL has a password in it, which everybody on this machine can read in the list of programs; leave it out, " +
		"and write a line HOST:PORT:DATABASE:LOGIN:PASSWORD into a file of which you alone may read (chmod 600), ~/.pgpass or the one that PGPASSFILE names"
}

func noPassword(text string) error {
	u, err := url.Parse(text)
	if err == nil && u.Scheme != "" {
		_, has := u.User.Password()
		if has || u.Query().Has("password") || u.Query().Has("sslpassword") {
			return &PasswordError{}
		}
		return nil
	}
	if regexp.MustCompile(`://[^/@]*:[^/@]*@`).MatchString(text) || regexp.MustCompile(`(?i)(^|\s)(ssl)?password\s*=`).MatchString(text) {
		return &PasswordError{} // or one that cannot be read, and might hold one
	}
	return nil
}

// prefers says whether encryption would only be tried: nobody said anything of it.
func prefers(c *pgx.ConnConfig) bool {
	return c.TLSConfig != nil && len(c.Fallbacks) > 0 && c.Fallbacks[0].Host == c.Host && c.Fallbacks[0].TLSConfig == nil
}

// states says whether a URL says itself how the way is to be encrypted.
func states(text string) bool {
	if u, err := url.Parse(text); err == nil && u.Scheme != "" {
		return u.Query().Has("sslmode")
	}
	return regexp.MustCompile(`(^|\s)sslmode\s*=`).MatchString(text)
}

// with adds a setting to a URL or list.
func with(text, key, value string) string {
	if u, err := url.Parse(text); err == nil && u.Scheme != "" {
		q := u.Query()
		q.Set(key, value)
		u.RawQuery = q.Encode()
		return u.String()
	}
	return text + " " + key + "=" + value
}

// String names the database without anything secret.
func (t *Target) String() string {
	return fmt.Sprintf("%s at %s as %s", t.config.Database, net.JoinHostPort(t.config.Host, strconv.Itoa(int(t.config.Port))), t.config.User)
}

// Way says how safe the way to the server is.
func (t *Target) Way() string {
	switch c := t.config; {
	case strings.HasPrefix(c.Host, "/"):
		return "a socket on this machine"
	case c.TLSConfig == nil:
		return "NOT ENCRYPTED: who is on the network reads everything, as the URL says"
	case prefers(c):
		return "encrypted only where the server wants to, as the URL says"
	case verified(c.TLSConfig):
		return "encrypted, the server proves who it is"
	}
	return "encrypted, but nobody proves to be the server, as the URL says"
}

func verified(c *tls.Config) bool { return !c.InsecureSkipVerify }
