package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Pos is a place in a file; line and column count from 1, columns in characters. Line 0 is no place.
type Pos struct{ Line, Col int }

// Problem is one thing that is wrong in a file: what it is and, after a semicolon, what would be right.
type Problem struct {
	File string
	Pos
	Text string
}

// String is "file:line:column: text", or "file: text" where there is no place.
func (p Problem) String() string {
	if p.Line == 0 {
		return p.File + ": " + p.Text
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Col, p.Text)
}

// Error is the problem as String writes it.
func (p Problem) Error() string { return p.String() }

// Problems are all that is wrong, in the order of their places.
type Problems []Problem

// Listed is how many problems Error writes at most.
const Listed = 50

// Error writes each problem on its own line, and after as many as are Listed how many more there are.
func (ps Problems) Error() string {
	lines := make([]string, min(len(ps), Listed))
	for i := range lines {
		lines[i] = ps[i].String()
	}
	if more := len(ps) - Listed; more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more; put these right first", more))
	}
	return strings.Join(lines, "\n")
}

// Sorted puts problems in the order of their places and keeps one of those that say the same of the same place, which
// a list that serves both sides of a frame brings forth twice.
func (ps Problems) Sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return slices.Compact(ps)
}
