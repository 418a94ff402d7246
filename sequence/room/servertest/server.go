// Package servertest starts a database server for tests, once a test binary, from what is installed on this machine. Where nothing is
// installed it says so and skips.
//
// A package that uses it has a TestMain that calls Main, or Stop at its end; Start gives the server, Room a new database.
package servertest

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Server is a running server. It listens on a socket in Folder and on Port of this machine.
type Server struct {
	Folder string
	Port   int

	postgres string
	as       *syscall.Credential
	group    int           // its processes
	over     chan struct{} // closed when it has ended
	rooms    atomic.Int64
}

// nobody is who has no rights: the server refuses to run as root.
const nobody = 65534

// program finds one of the server's programs.
func program(name string) (string, error) {
	if path, err := exec.LookPath(name); err == nil {
		return path, nil
	}
	list, err := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if err != nil || len(list) == 0 {
		return "", fmt.Errorf("%s is not installed (Debian: postgresql)", name)
	}
	slices.Sort(list)
	return list[len(list)-1], nil
}

var start = sync.OnceValues(begin)

// Start gives the server, and skips the test where none can be had.
func Start(t testing.TB) *Server {
	t.Helper()
	for _, name := range []string{"initdb", "postgres"} {
		if _, err := program(name); err != nil {
			t.Skipf("SKIPPED, nothing here was tested against a server: %v", err)
		}
	}
	s, err := start()
	if err != nil {
		t.Fatalf("start a server: %v", err)
	}
	return s
}

// Main runs tests and ends the server after them.
func Main(m *testing.M) {
	status := m.Run()
	Stop()
	os.Exit(status)
}

// Stop ends the server, where this binary has one.
func Stop() {
	if s := running.Load(); s != nil {
		s.Kill()
		if err := os.RemoveAll(s.Folder); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	}
}

// running is the server that this binary has, for Main to end.
var running atomic.Pointer[Server]

func begin() (*Server, error) {
	initdb, err := program("initdb")
	if err != nil {
		return nil, err
	}
	s, err := place()
	if err != nil {
		return nil, err
	}
	running.Store(s)
	if err := s.fill(initdb, "-U", "admin", "--auth=trust", "--no-sync", "--no-locale", "-E", "UTF8"); err != nil {
		return nil, err
	}
	if err := s.Run(); err != nil {
		return nil, err
	}
	_, err = s.exec("admin", "postgres", "CREATE ROLE keeper LOGIN CREATEROLE")
	return s, err
}

// place is a folder and a port for a server.
func place() (s *Server, err error) {
	s = &Server{}
	if s.postgres, err = program("postgres"); err != nil {
		return nil, err
	}
	if s.Folder, err = os.MkdirTemp("", "pc"); err != nil { // short: the name of a socket has room for 107 bytes
		return nil, err
	}
	if os.Getuid() == 0 {
		s.as = &syscall.Credential{Uid: nobody, Gid: nobody}
		if err := os.Chown(s.Folder, nobody, nobody); err != nil {
			return nil, err
		}
	}
	s.Port, err = freePort()
	return s, err
}

// fill has a program write the server's data.
func (s *Server) fill(program string, args ...string) error {
	c := exec.Command(program, append([]string{"-D", filepath.Join(s.Folder, "data")}, args...)...)
	c.SysProcAttr, c.Dir, c.Env = &syscall.SysProcAttr{Credential: s.as}, s.Folder, append(os.Environ(), "TZ=UTC")
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// Replica is a second server that follows this one and is only read, until the test is over.
func (s *Server) Replica(t testing.TB) *Server {
	t.Helper()
	copies, err := program("pg_basebackup")
	if err != nil {
		t.Skipf("SKIPPED, no replica was looked at: %v", err)
	}
	r, err := place()
	if r != nil {
		t.Cleanup(func() { r.Kill(); _ = os.RemoveAll(r.Folder) })
	}
	if err == nil {
		err = r.fill(copies, "-h", s.Folder, "-p", strconv.Itoa(s.Port), "-U", "admin", "-R", "--checkpoint=fast", "--no-sync")
	}
	if err == nil {
		err = r.Run()
	}
	if err != nil {
		t.Fatalf("start a replica: %v", err)
	}
	return r
}

// Run starts the server, again after Kill, and returns when it answers. What it wrote is safe from its own end, not from that of the machine.
func (s *Server) Run() error {
	log, err := os.OpenFile(filepath.Join(s.Folder, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer log.Close()
	for deadline := time.Now().Add(30 * time.Second); ; {
		c := exec.Command(s.postgres, "-D", filepath.Join(s.Folder, "data"), "-k", s.Folder, "-p", strconv.Itoa(s.Port), "-c", "listen_addresses=127.0.0.1",
			"-c", "fsync=off", "-c", "full_page_writes=off", "-c", "shared_buffers=32MB", "-c", "max_connections=150", "-c", "log_min_messages=fatal")
		c.SysProcAttr = &syscall.SysProcAttr{Credential: s.as, Setpgid: true, Pdeathsig: syscall.SIGQUIT}
		c.Dir, c.Stdout, c.Stderr = s.Folder, log, log
		if err := s.watch(c); err != nil {
			return err
		}
		for alive := true; alive; {
			if _, err = s.exec("admin", "postgres", "SELECT 1"); err == nil {
				return nil
			}
			select {
			case <-s.over: // what an earlier one left behind is not all gone yet
				alive = false
			case <-time.After(20 * time.Millisecond):
				if time.Now().After(deadline) {
					return err
				}
			}
		}
		if time.Now().After(deadline) {
			return errors.New("the server does not start; see its log in " + s.Folder)
		}
	}
}

// watch starts a program from a thread that lives as long as it does, so that it ends with this one whatever happens.
func (s *Server) watch(c *exec.Cmd) error {
	started, over := make(chan error), make(chan struct{})
	s.over = over
	go func() {
		runtime.LockOSThread()
		err := c.Start()
		started <- err
		if err == nil {
			_ = c.Wait()
		}
		close(over)
	}()
	if err := <-started; err != nil {
		return err
	}
	s.group = c.Process.Pid
	return nil
}

// Signal sends a signal to all of the server's processes.
func (s *Server) Signal(sig syscall.Signal) error {
	return errors.Join(syscall.Kill(s.group, sig), s.children(sig))
}

// children are groups of their own each.
func (s *Server) children(sig syscall.Signal) error {
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", s.group, s.group))
	for _, text := range strings.Fields(string(list)) {
		if pid, err := strconv.Atoi(text); err == nil {
			_ = syscall.Kill(pid, sig) // it may have ended
		}
	}
	return err
}

// Limit lets no file of the server grow beyond so many bytes, or as it likes for less than none.
func (s *Server) Limit(bytes int) error {
	size := strconv.Itoa(bytes)
	if bytes < 0 {
		size = "unlimited"
	}
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", s.group, s.group))
	for _, pid := range append(strings.Fields(string(list)), strconv.Itoa(s.group)) {
		// Those that begin between get the limit of the one that began them, which comes last.
		c := exec.Command("prlimit", "--pid", pid, "--fsize="+size+":unlimited")
		c.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
		if out, wrong := c.CombinedOutput(); wrong != nil && pid == strconv.Itoa(s.group) {
			err = errors.Join(err, fmt.Errorf("%w: %s", wrong, out))
		}
	}
	return err
}

// Spent is how long the server's processes have computed, those that have ended left away.
func (s *Server) Spent(t testing.TB) (sum time.Duration) {
	t.Helper()
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", s.group, s.group))
	if err != nil {
		t.Fatal(err)
	}
	for _, pid := range append(strings.Fields(string(list)), strconv.Itoa(s.group)) {
		stat, err := os.ReadFile("/proc/" + pid + "/stat")
		if err != nil {
			continue // it has ended
		}
		_, rest, _ := strings.Cut(string(stat), ") ")
		for _, ticks := range strings.Fields(rest)[11:13] { // utime and stime in hundredths of a second, see proc(5)
			n, _ := strconv.Atoi(ticks)
			sum += time.Duration(n) * 10 * time.Millisecond
		}
	}
	return sum
}

// Kill ends the server at once, in the middle of whatever it does.
func (s *Server) Kill() {
	if s.group == 0 {
		return
	}
	_ = s.children(syscall.SIGKILL)
	_ = syscall.Kill(s.group, syscall.SIGKILL)
	<-s.over
	s.group = 0
}

// freePort is one that nobody has.
func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}

// URL names a database of the server for a login.
func (s *Server) URL(login, database string) string {
	return fmt.Sprintf("postgres:///%s?host=%s&port=%d&user=%s", database, s.Folder, s.Port, login)
}

// Exec has a login do something in a database.
func (s *Server) Exec(t testing.TB, login, database, what string) {
	t.Helper()
	if _, err := s.exec(login, database, what); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
}

func (s *Server) exec(login, database, what string) (string, error) {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, s.URL(login, database))
	if err != nil {
		return "", err
	}
	defer c.Close(ctx)
	got, err := c.PgConn().Exec(ctx, what).ReadAll()
	if err != nil {
		return "", err
	}
	if last := got[len(got)-1]; len(last.Rows) > 0 {
		return string(last.Rows[0][0]), nil
	}
	return "", nil
}

// Room makes a new database that the login keeper owns, and gives its name.
func (s *Server) Room(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("room%d", s.rooms.Add(1))
	s.Exec(t, "admin", "postgres", "CREATE DATABASE "+name+" OWNER keeper")
	return name
}
