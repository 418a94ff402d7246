package main

import (
	"cmp"
	"slices"
	"time"
)

// A trial is one run of a test, in which rapid tries so many cases.
type trial struct {
	test   *test
	checks int
}

// How many cases rapid tries: a few find most, and what draws cases may not have drawn the right ones.
const (
	quick = 15
	full  = 100
)

// cost is the processor time that trials take without a mutant.
func cost(all []trial) (sum time.Duration) {
	for _, t := range all {
		sum += t.cost()
	}
	return sum
}

func (t trial) cost() time.Duration {
	if t.checks == full && t.test.rapid {
		return t.test.took * full / quick
	}
	return t.test.took
}

// A deeds counts which tests killed how many mutants, by function and by package: what killed a neighbour is likely to kill again.
type deeds map[string]map[string]float64

func (d deeds) note(m Mutant, killer *test) {
	for _, place := range []string{m.Package, m.Package + " " + m.Func} {
		if d[place] == nil {
			d[place] = map[string]float64{}
		}
		d[place][killer.String()]++
		d[place][""]++
	}
}

// chance guesses, between 0 and about 1, how likely a trial is to kill a mutant.
func (d deeds) chance(m Mutant, t trial) float64 {
	near, far := d[m.Package+" "+m.Func], d[m.Package]
	guess := 0.01 + 0.8*near[t.test.String()]/(near[""]+1) + 0.2*far[t.test.String()]/(far[""]+1)
	if t.checks == full {
		guess /= 5 // a quick one came before
	}
	return guess
}

// ordered are the trials that count for a mutant and may notice it, those first that are cheap for how likely they are to kill it.
func (h *hunt) ordered(m Mutant) []trial {
	h.lock.Lock()
	defer h.lock.Unlock()
	var all []trial
	price := map[trial]float64{}
	for _, t := range h.met[m.ID] {
		if !slices.Contains(h.tests[m.Package], t.suite.dir) {
			continue
		}
		all = append(all, trial{t, quick})
		if t.rapid {
			all = append(all, trial{t, full})
		}
	}
	for _, t := range all {
		price[t] = float64(t.cost()+start) / h.deeds.chance(m, t)
	}
	slices.SortStableFunc(all, func(a, b trial) int { return cmp.Compare(price[a], price[b]) })
	return all
}

// start is about the processor time that a suite takes before its first test.
const start = 10 * time.Millisecond

// batches groups trials that can run together so that each group takes about half as long as all before it.
func batches(all []trial, patience time.Duration) [][]trial {
	var out [][]trial
	var before time.Duration
	for _, t := range all {
		if before+t.cost() > patience && len(out) > 0 {
			continue
		}
		before += t.cost()
		last := len(out) - 1
		if last < 0 || out[last][0].test.suite != t.test.suite || out[last][0].checks != t.checks ||
			cost(out[last])+t.cost() > max(before/2, 2*start) {
			out = append(out, []trial{t})
			continue
		}
		out[last] = append(out[last], t)
	}
	return out
}
