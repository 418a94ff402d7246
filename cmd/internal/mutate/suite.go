package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// A suite is the tests of one package, in one binary with every mutant.
type suite struct {
	dir    string
	binary string
	sum    string // of the binary
	rapid  bool   // it knows rapid's flags
	tests  []*test
}

// A test is one function of a suite.
type test struct {
	suite *suite
	name  string
	took  time.Duration // of the processor, without a mutant; with quick checks where it draws cases
	rapid bool          // it draws cases
	slow  bool          // it takes longer than it was given
	once  sync.Once
	sound bool // it passes without a mutant, as far as a sample asked
}

func (t *test) String() string { return t.suite.dir + " " + t.name }

// build compiles the tests of a package.
func build(dir, overlay, folder string) (*suite, error) {
	s := &suite{dir: dir, binary: filepath.Join(folder, strings.ReplaceAll(dir, "/", "_")+".test")}
	if _, err := command("go", "test", "-c", "-tags=mutate", "-ldflags=-s -w", "-overlay", overlay, "-o", s.binary, "./"+dir); err != nil {
		return nil, err
	}
	if _, err := os.Stat(s.binary); errors.Is(err, os.ErrNotExist) {
		return s, nil // it has no tests
	}
	text, err := os.ReadFile(s.binary)
	if err != nil {
		return nil, err
	}
	s.sum = fmt.Sprintf("%x", sha256.Sum256(text))
	uses, err := command("go", "list", "-tags=mutate", "-test", "-deps", "./"+dir)
	if err != nil {
		return nil, err
	}
	s.rapid = bytes.Contains(uses, []byte("pgregory.net/rapid\n"))
	out, err := command(s.binary, "-test.list", "^(Test|Fuzz|Example)")
	if err != nil {
		return nil, err
	}
	for _, name := range strings.Fields(string(out)) {
		s.tests = append(s.tests, &test{suite: s, name: name})
	}
	return s, nil
}

// probe runs a test by itself without a mutant, and tells which mutants it would have noticed in passing: those that make
// a difference to an expression, or that it reaches. One that takes longer than the limit is slow, and tells nothing.
func (t *test) probe(folder string, limit time.Duration) ([]int, error) {
	notes, err := os.CreateTemp(folder, "notes")
	if err != nil {
		return nil, err
	}
	defer notes.Close()
	limit = max(limit, time.Second).Round(time.Second)
	out, used, ok := t.suite.run(folder, []*test{t}, quick, limit, "MUTANT=-1", "MUTANT_NOTES="+notes.Name())
	t.took, t.rapid, t.slow = used, bytes.Contains(out, []byte("[rapid] OK")), !ok && used > limit/2 // the kernel counts coarsely
	if t.slow {
		return nil, nil
	}
	if !ok {
		return nil, fmt.Errorf("%s fails without a mutant:\n%s", t, out)
	}
	var met []int
	for lines := bufio.NewScanner(notes); lines.Scan(); {
		if id, err := strconv.Atoi(lines.Text()); err == nil {
			met = append(met, id)
		}
	}
	slices.Sort(met)
	return slices.Compact(met), nil // a child of the test notes for itself
}

// run runs some tests; it returns what they said, the processor time, and whether all passed. The limit is one of processor
// time; what waits for ever gets a minute and twenty times as long, as others may use
// the machine.
func (s *suite) run(folder string, tests []*test, checks int, limit time.Duration, env ...string) (out []byte, used time.Duration, ok bool) {
	var names []string
	for _, t := range tests {
		names = append(names, t.name)
	}
	tmp, err := os.MkdirTemp(folder, "run")
	if err != nil {
		return []byte(err.Error()), 0, false
	}
	defer os.RemoveAll(tmp)
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute+20*limit)
	defer cancel()
	seconds := int(math.Ceil(limit.Seconds()))
	args := []string{"-c", fmt.Sprintf(`ulimit -t %d; ulimit -v 6000000; exec "$@"`, seconds), "sh", s.binary,
		"-test.run", "^(" + strings.Join(names, "|") + ")$", "-test.failfast", "-test.timeout", "0", "-test.v"}
	if s.rapid {
		args = append(args, "-rapid.seed=1", fmt.Sprintf("-rapid.checks=%d", checks), "-rapid.nofailfile", "-rapid.shrinktime=1ms")
	}
	c := exec.CommandContext(ctx, "sh", args...)
	c.Dir = s.dir
	c.Env = append(os.Environ(), append(env, "TMPDIR="+tmp, "GOMAXPROCS=1", "GOGC=400")...) // memory is cheaper than the processor
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	c.Cancel = func() error { return syscall.Kill(-c.Process.Pid, syscall.SIGKILL) }
	out, err = c.CombinedOutput()
	return out, c.ProcessState.UserTime() + c.ProcessState.SystemTime(), err == nil
}

var failed = regexp.MustCompile(`(?m)^--- FAIL: ([^ /]+)`)

// try runs some trials of one suite with a mutant, and returns the test that killed it and the processor time.
func try(m Mutant, batch []trial, folder string) (*test, time.Duration) {
	var tests []*test
	for _, b := range batch {
		tests = append(tests, b.test)
	}
	limit := 3*cost(batch) + 2*time.Second
	if cost(batch) == 0 {
		limit = 3 * time.Minute // not known
	}
	out, used, ok := tests[0].suite.run(folder, tests, batch[0].checks, limit, "MUTANT="+strconv.Itoa(m.ID))
	if ok {
		return nil, used
	}
	if name := failed.FindSubmatch(out); name != nil {
		for _, t := range tests {
			if t.name == string(name[1]) {
				return t, used
			}
		}
	}
	return tests[len(tests)-1], used // it panicked beside the tests, or took too long
}

func took(tests []*test) (sum time.Duration) {
	for _, t := range tests {
		sum += t.took
	}
	return sum
}
