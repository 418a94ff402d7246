package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"
)

// A hunt goes after the mutants of a schema.
type hunt struct {
	*schema
	options
	folder  string
	tests   map[string][]string // by package: whose tests count
	reasons map[string]string
	out     io.Writer
	suites  map[string]*suite // that are built and, but for a sample, probed
	met     map[int][]*test
	deeds   deeds
	diary   *diary
	end     time.Time  // from when on nothing more is tried
	lock    sync.Mutex // of the suites and the results
}

// all goes through the packages that were asked for, and hands over each result.
func (h *hunt) all(done func(*result) error) (map[string]*result, error) {
	if h.met == nil {
		h.met = map[int][]*test{}
	}
	results := map[string]*result{}
	end := h.end
	for i, dir := range h.packages {
		for _, d := range h.tests[dir] {
			if h.suites[d] != nil || time.Now().After(h.end) || len(h.of(dir)) == 0 {
				continue
			}
			s, err := h.built(d)
			if err != nil {
				return nil, err
			}
			if err := h.probe(s); err != nil {
				return nil, err
			}
			fmt.Fprintf(h.out, "# %s: %d tests, %s\n", d, len(s.tests), took(s.tests).Round(time.Second))
		}
		now := time.Now()
		h.end = now.Add(end.Sub(now) / time.Duration(len(h.packages)-i)) // each gets its share of the time that is left
		r := &result{dir: dir, killers: map[string]string{}}
		h.known(dir)
		each(h.jobs, h.of(dir), func(m Mutant) { h.one(r, m) })
		slices.SortFunc(r.alive, func(a, b Mutant) int { return a.ID - b.ID })
		results[dir] = r
		fmt.Fprintln(h.out, r)
		if err := done(r); err != nil {
			return nil, err
		}
	}
	return results, nil
}

// known notes what the diary says of the killers of a package's mutants.
func (h *hunt) known(dir string) {
	for _, m := range h.of(dir) {
		if killer, _ := h.diary.of(m); killer != nil && h.stands(m, killer) {
			h.deeds.note(m, killer)
		}
	}
}

// wanted says whether a mutant is to be tried: the diary does not know what came of it, it lived under other tests or
// another patience and is tried once more, or the test that killed it would not do so any more.
func (h *hunt) wanted(m Mutant) bool {
	killer, known := h.diary.of(m)
	return !known || killer == nil && h.retry && !h.diary.lived(m, h.under(m.Package)) || killer != nil && !h.stands(m, killer)
}

// under says under which patience and tests the mutants of a package are tried.
func (h *hunt) under(dir string) string {
	text := h.patience.String()
	if h.named != nil {
		text += " " + h.named.String()
	}
	for _, d := range h.tests[dir] {
		if s := h.suites[d]; s != nil {
			text += " " + s.sum[:min(8, len(s.sum))]
		}
	}
	return text
}

// stands says whether a killer that the diary knows can still be one: as long as its suite is not probed that is not known. Of
// a test that draws cases or is slow a probe does not tell all that it notices.
func (h *hunt) stands(m Mutant, killer *test) bool {
	s := h.suites[killer.suite.dir]
	if s == nil || h.named != nil {
		return true
	}
	i := slices.IndexFunc(s.tests, func(t *test) bool { return t.name == killer.name })
	return i >= 0 && (s.tests[i].rapid || s.tests[i].slow || slices.Contains(h.met[m.ID], s.tests[i]))
}

// one goes after a mutant that is wanted.
func (h *hunt) one(r *result, m Mutant) {
	killer, _ := h.diary.of(m)
	switch {
	case !h.wanted(m):
	case time.Now().After(h.end):
		h.lock.Lock()
		r.left++
		h.lock.Unlock()
		return
	default:
		var used time.Duration
		killer, used = h.kill(m)
		if err := h.diary.note(m, killer, used, h.under(m.Package)); err != nil {
			fmt.Fprintln(h.out, err)
		}
	}
	h.settle(r, m, killer)
}

// probe notes which tests of a suite notice which mutants; those that the patience is not enough for are left out.
func (h *hunt) probe(s *suite) error {
	s.tests = slices.DeleteFunc(s.tests, func(t *test) bool { return h.named != nil && !h.named.MatchString(t.name) })
	var errs []error
	each(h.jobs, s.tests, func(t *test) {
		met, err := h.diary.probed(t, h.folder, h.patience)
		h.lock.Lock()
		defer h.lock.Unlock()
		if err != nil {
			errs = append(errs, err)
		}
		for _, id := range met {
			h.met[id] = append(h.met[id], t)
		}
	})
	return errors.Join(errs...)
}

// built are the tests of a package.
func (h *hunt) built(dir string) (*suite, error) {
	h.lock.Lock()
	defer h.lock.Unlock()
	if h.suites[dir] == nil {
		s, err := build(dir, h.overlay, h.folder)
		if err != nil {
			return nil, err
		}
		h.suites[dir] = s
	}
	return h.suites[dir], nil
}

// of are the mutants of a package that were asked for, in an order drawn by lot: those tried until time is up are a sample of all.
func (h *hunt) of(dir string) []Mutant {
	all := slices.DeleteFunc(slices.Clone(h.mutants), func(m Mutant) bool {
		return m.Package != dir || h.only != nil && !h.only.MatchString(m.Key())
	})
	return draw(all, len(all), h.seed)
}

// kill tries to kill a mutant with the tests that count and notice it, in the order of ordered. It returns the test that did it, or nothing;
// what would take longer than the patience with all before it is left out.
func (h *hunt) kill(m Mutant) (killer *test, used time.Duration) {
	for _, b := range batches(h.ordered(m), h.patience) {
		killer, more := try(m, b, h.folder)
		if used += more; killer != nil {
			return killer, used
		}
	}
	return nil, used
}

// each does something with every one, a few at a time.
func each[T any](jobs int, all []T, do func(T)) {
	var wait sync.WaitGroup
	turn := make(chan T)
	for range jobs {
		wait.Go(func() {
			for one := range turn {
				do(one)
			}
		})
	}
	for _, one := range all {
		turn <- one
	}
	close(turn)
	wait.Wait()
}

// settle notes what came of a mutant.
func (h *hunt) settle(r *result, m Mutant, killer *test) {
	h.lock.Lock()
	defer h.lock.Unlock()
	key := m.Key()
	r.mutants++
	if h.reasons[key] != "" {
		r.equivalent++
	}
	switch {
	case killer == nil && h.reasons[key] == "":
		r.alive = append(r.alive, m)
		fmt.Fprintf(h.out, "%s:%d: %s\n", m.Pos.Filename, m.Pos.Line, key)
	case killer != nil && h.reasons[key] != "":
		r.wrong = append(r.wrong, fmt.Sprintf("listed as equivalent, but %s kills it: %s", killer, key))
	case killer != nil:
		r.killers[key] = killer.String()
		h.deeds.note(m, killer)
	}
}

// sample goes after drawn mutants. The test that once killed each goes first, and then all tests of its package.
func (h *hunt) sample(drawn []Mutant, killers map[string]string) error {
	r := &result{dir: fmt.Sprintf("%d drawn", len(drawn)), killers: map[string]string{}}
	var errs []error
	each(h.jobs, drawn, func(m Mutant) {
		killer, err := h.again(m, killers[m.Key()])
		if err != nil {
			h.lock.Lock()
			errs = append(errs, err)
			h.lock.Unlock()
		}
		h.settle(r, m, killer)
	})
	fmt.Fprintln(h.out, r)
	return errors.Join(append(errs, judge(map[string]*result{"": r}))...)
}

// others are the mutants of which the result is known, and which are neither listed as equivalent nor live.
func (h *hunt) others(k known) []Mutant {
	return slices.DeleteFunc(slices.Clone(h.mutants), func(m Mutant) bool {
		return !k.dirs[m.Package] && k.killers[m.Key()] == "" || h.reasons[m.Key()] != "" || k.alive[m.Key()]
	})
}

// keep writes the result of a package into the result file, with the killers of those of its mutants that CI will draw.
func (h *hunt) keep(dirs []string, r *result) error {
	k, err := readKnown()
	if err != nil {
		return err
	}
	k.dirs[r.dir] = r.left == 0
	if r.left > 0 {
		maps.Copy(k.killers, r.killers)
	}
	maps.DeleteFunc(k.alive, func(key string, _ bool) bool { return strings.HasPrefix(key, r.dir+" ") }) // they are old
	for _, m := range r.alive {
		k.alive[m.Key()] = true
	}
	return keep(dirs, r, draw(h.others(k), usual, 1))
}

// killed runs tests of one suite with a mutant, as often as rapid tries, and tells which of them killed it.
func killed(m Mutant, tests []*test, folder string) []*test {
	var all []trial
	for _, t := range tests {
		all = append(all, trial{t, full})
	}
	if len(all) > 0 {
		if t, _ := try(m, all, folder); t != nil {
			return []*test{t}
		}
	}
	return nil
}

// usual is how many .ci/run draws; of so many more the killers are kept, as others come in when some are edited away.
const usual = 60 * 4

// again kills a mutant without knowing which tests notice it.
func (h *hunt) again(m Mutant, killer string) (*test, error) {
	dirs := h.tests[m.Package]
	if dir, name, known := strings.Cut(killer, " "); known {
		s, err := h.built(dir)
		if err != nil {
			return nil, err
		}
		for _, t := range s.tests {
			if t.name == name && len(killed(m, []*test{t}, h.folder)) > 0 && h.sound(t) {
				return t, nil
			}
		}
	}
	for _, dir := range dirs {
		s, err := h.built(dir)
		if err != nil {
			return nil, err
		}
		for tests := slices.Clone(s.tests); len(tests) > 0; {
			by := killed(m, tests, h.folder)
			if len(by) == 0 {
				break
			}
			if h.sound(by[0]) {
				return by[0], nil
			}
			tests = slices.DeleteFunc(tests, func(t *test) bool { return t == by[0] })
		}
	}
	return nil, nil
}

// sound says whether a test passes without a mutant: one that keeps what the code says may be behind it. That is found out once.
func (h *hunt) sound(t *test) bool {
	t.once.Do(func() { t.sound = len(killed(Mutant{}, []*test{t}, h.folder)) == 0 })
	return t.sound
}
