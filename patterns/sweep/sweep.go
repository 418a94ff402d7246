// Package sweep says to tests how much they go over: everything when they are built with -tags sweep, as .ci/run does, a
// share that is spread over all of it otherwise. Only tests import it.
package sweep

import (
	"flag"
	"fmt"
	"hash/fnv"
	"runtime/debug"

	"pgregory.net/rapid"
)

// Take says whether case number i is gone through: each one in a sweep, one in so many otherwise. A number that has no
// factor in common with those of nested settings lets every value of each of them come up.
func Take(i, of int) bool { return all || i%of == 0 }

// Name is Take for cases that have a name.
func Name(name string, of int) bool {
	h := fnv.New32a()
	h.Write([]byte(name)) // cannot fail
	return Take(int(h.Sum32()%1000), of)
}

// Only leaves a test to the sweep.
func Only(t interface{ Skip(args ...any) }) {
	if !all {
		t.Skip("gone through with -tags sweep")
	}
}

// Net leaves a test to cmd/internal/mutate: it keeps what the code says by now, so that nothing changes unseen while code is broken
// to try the tests, and nobody has to keep it anew for each change that is meant.
func Net(t interface{ Skip(args ...any) }) {
	if !nets {
		t.Skip("gone through with -tags mutate")
	}
}

// Share is how many of n cases are gone through.
func Share(n, of int) int {
	if all {
		return n
	}
	return n / of
}

// Some is a property that is tried as often as rapid asks in a sweep, the first time and one time in so many otherwise; one that has
// failed is tried each time, so that rapid can shrink it.
func Some(of int, property func(*rapid.T)) func(*rapid.T) {
	n, failed := 0, false
	return func(t *rapid.T) {
		if n++; failed || Take(n-1, of) {
			defer func() { failed = failed || t.Failed() }()
			property(t)
		}
	}
}

// checks is how often rapid tries a property outside a sweep; its own 100 are for the sweep.
const checks = "40"

// Tests that import this package draw the same cases each time, so that one that fails is had again and a change is judged as the one
// before it; -rapid.seed on the command line draws others, -rapid.checks more of them. Garbage waits longer than usual, as memory is
// cheaper than the processor.
func init() {
	debug.SetGCPercent(400)
	_ = flag.Set("rapid.seed", "1") // a number always goes in
	if !all {
		_ = flag.Set("rapid.checks", checks)
	}
}

// Drawn has what rapid draws follow from another number; a seed that the command line gives comes first. It is for tests that are not
// parallel; back undoes it.
func Drawn(seed int) (back func()) {
	f := flag.Lookup("rapid.seed")
	was := f.Value.String()
	if was == "1" {
		_ = f.Value.Set(fmt.Sprint(seed))
	}
	return func() { _ = f.Value.Set(was) }
}
