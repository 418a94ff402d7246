package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// A diary keeps what came of each mutant in a folder, so that a run can be done in slices. What it says of a mutant counts as
// long as the text of its function is the same. A nil diary keeps nothing.
type diary struct {
	folder string
	told   map[string]string // by page: the test that killed it, or lived
	under  map[string]string // by page: what it lived under
	lock   sync.Mutex
	file   *os.File
}

const lived = "lived"

// openDiary reads the diary of a folder; without one there is none.
func openDiary(folder string) (*diary, error) {
	if folder == "" {
		return nil, nil
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, err
	}
	path := filepath.Join(folder, "diary.txt")
	text, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	d := &diary{folder: folder, told: map[string]string{}, under: map[string]string{}}
	for line := range strings.Lines(string(text)) {
		if page, told, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "\t"); ok && strings.HasSuffix(line, "\n") {
			told := append(strings.Split(told, "\t"), "", "")
			d.told[page], d.under[page] = told[0], told[2]
		}
	}
	d.file, err = os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	return d, err
}

func page(m Mutant) string { return fmt.Sprintf("%016x %s", m.Sum, m.Key()) }

// of is the test that killed a mutant, none if it lived; known says whether it was tried.
func (d *diary) of(m Mutant) (killer *test, known bool) {
	if d == nil {
		return nil, false
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	told, known := d.told[page(m)]
	if !known || told == lived {
		return nil, known
	}
	dir, name, _ := strings.Cut(told, " ")
	return &test{suite: &suite{dir: dir}, name: name}, true
}

// lived says whether a mutant lived under the same tests and patience, so that to try it again would tell nothing.
func (d *diary) lived(m Mutant, under string) bool {
	d.lock.Lock()
	defer d.lock.Unlock()
	return d.told[page(m)] == lived && d.under[page(m)] == under
}

// note writes down what came of a mutant, for how much processor time and under which tests and patience.
func (d *diary) note(m Mutant, killer *test, used time.Duration, under string) error {
	if d == nil {
		return nil
	}
	told := lived
	if killer != nil {
		told = killer.String()
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	d.told[page(m)], d.under[page(m)] = told, under
	_, err := fmt.Fprintf(d.file, "%s\t%s\t%.3f s\t%s\n", page(m), told, used.Seconds(), under)
	return err
}

// A probed is what a test was found to notice.
type probed struct {
	Took        time.Duration
	Rapid, Slow bool
	Met         []int
}

// probed probes a test, unless the diary knows what came of that with the same binary.
func (d *diary) probed(t *test, folder string, limit time.Duration) ([]int, error) {
	if d == nil {
		return t.probe(folder, limit)
	}
	path := filepath.Join(d.folder, "probes", t.suite.sum, t.name+".json")
	var p probed
	if text, err := os.ReadFile(path); err == nil && json.Unmarshal(text, &p) == nil && (!p.Slow || p.Took > limit) {
		t.took, t.rapid, t.slow = p.Took, p.Rapid, p.Slow
		return p.Met, nil
	}
	met, err := t.probe(folder, limit)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(probed{t.took, t.rapid, t.slow, met})
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return nil, err
	}
	return met, os.WriteFile(path, text, 0o666)
}
