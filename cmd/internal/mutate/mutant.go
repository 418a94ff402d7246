package main

import (
	"fmt"
	"go/token"
	"hash/fnv"
	"regexp"
	"slices"
)

// A Mutant is one change of the code: an expression becomes another one.
type Mutant struct {
	ID int // from 1, told apart in all packages of a run
	// Package is the folder below the module, Func the function or variable that holds the expression, a method with its
	// receiver.
	Package, Func string
	Sum           uint64 // of the text of that function
	Was, Is       string // the expression before and after, long operands shortened
	Nth           int    // from 1, among those of the function that read the same
	Pos           token.Position
}

// Key names a mutant by what it changes and not by where that stands, so that it is still the same after edits of other
// functions, and after a function has moved to another file.
func (m Mutant) Key() string {
	nth := ""
	if m.Nth > 1 {
		nth = fmt.Sprintf(" (%d)", m.Nth)
	}
	return fmt.Sprintf("%s %s: %s → %s%s", m.Package, m.Func, m.Was, m.Is, nth)
}

// count numbers those that read the same.
func count(all []Mutant) {
	seen := map[string]int{}
	for i := range all {
		all[i].Nth = 0
		key := all[i].Key()
		seen[key]++
		all[i].Nth = seen[key]
	}
}

// draw takes n mutants by lot. Each one's lot depends on its key and the seed alone: an edit changes only what it edits.
func draw(all []Mutant, n int, seed uint64) []Mutant {
	lot := func(m Mutant) uint64 {
		return sum(fmt.Sprintf("%d %s", seed, m.Key()))
	}
	lots := map[int]uint64{}
	for _, m := range all {
		lots[m.ID] = lot(m)
	}
	out := slices.Clone(all)
	slices.SortFunc(out, func(a, b Mutant) int {
		if lots[a.ID] < lots[b.ID] {
			return -1
		}
		return 1
	})
	return out[:min(n, len(out))]
}

func sum(text string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(text))
	return h.Sum64()
}

// brief writes a piece of source in one line of at most 48 letters.
func brief(source string) string {
	r := []rune(spaces.ReplaceAllString(source, " "))
	if len(r) > 48 {
		r = slices.Concat(r[:32], []rune("…"), r[len(r)-15:])
	}
	return string(r)
}

var spaces = regexp.MustCompile(`\s+`)
