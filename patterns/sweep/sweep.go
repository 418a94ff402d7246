// Package sweep says to tests how much they go over: everything when they are built with -tags sweep, as .ci/run does, a
// share that is spread over all of it otherwise. Only tests import it.
package sweep

// Take says whether case number i is gone through: each one in a sweep, one in so many otherwise. A number that has no
// factor in common with those of nested settings lets every value of each of them come up.
func Take(i, of int) bool { return all || i%of == 0 }
