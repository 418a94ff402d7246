// Command mutate asks the tests whether they would notice: it changes operators, bounds and small numbers of the packages
// that a stringer trusts one at a time, and runs the tests that pass by the change. What lives on is either not tested, not
// needed, or the same thing said otherwise.
//
//	go run ./cmd/internal/mutate                        all packages; writes mutants.txt
//	go run ./cmd/internal/mutate -only 'Racket.beyond'  those whose key matches
//	go run ./cmd/internal/mutate -diary DIR -for 9m     a slice of a run, which goes on where the last one with this folder stopped
//	go run ./cmd/internal/mutate -diary DIR -retry      what lived so far once more: first -patience 600ms, then more for what is left
//	go run ./cmd/internal/mutate -sample 60             as many, drawn by lot of those that did not live when all were tried
//
// The packages are written once with every change asleep in them, and compiled once with their tests; the environment
// wakes one. equivalent.txt lists the mutants that cannot be told from the code, each with the reason. The exit status is
// 1 when more than 3 % of the others live, and when something is listed that is not there or was killed.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"time"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

// targets are the packages that are mutated, and the packages whose tests count for each, its own first. What a racket is
// and what the referee refuses is tested by the plans that it judges, too, and a book by the shop and the rooms that live on it.
func targets() (dirs []string, tests map[string][]string) {
	dirs = []string{"sequence/verdict", "sequence/plan", "sequence/referee", "sequence", "tui/draw", "sequence/book"}
	tests = map[string][]string{
		"sequence/plan":    {"sequence/plan", "sequence/referee", "sequence", "sequence/cases"},
		"sequence/referee": {"sequence/referee", "sequence"},
		"sequence":         {"sequence", "sequence/cases"},
		"sequence/book":    {"sequence/book", "sequence/shop", "sequence/room"},
	}
	for _, d := range dirs {
		if tests[d] == nil {
			tests[d] = []string{d}
		}
	}
	return dirs, tests
}

// most is the share, in per cent, of the mutants not listed as equivalent that may live.
const most = 3.0

type options struct {
	only     *regexp.Regexp
	named    *regexp.Regexp
	packages []string
	sample   int
	diary    string
	during   time.Duration
	retry    bool
	seed     uint64
	patience time.Duration
	jobs     int
}

func read(args []string, dirs []string) (o options, err error) {
	flags := flag.NewFlagSet("mutate", flag.ContinueOnError)
	only := flags.String("only", "", "take those whose key matches")
	packages := flags.String("packages", strings.Join(dirs, ","), "take those of these packages")
	flags.IntVar(&o.sample, "sample", 0, "take so many, drawn by lot")
	flags.Uint64Var(&o.seed, "seed", 1, "of the lots")
	flags.DurationVar(&o.patience, "patience", 30*time.Second, "how much processor time the tests of one may take together; what outlives them counts as alive")
	flags.StringVar(&o.diary, "diary", "", "a folder that keeps what came of each, so that the next run goes on")
	flags.DurationVar(&o.during, "for", 24*time.Hour, "after how long no further one is tried")
	flags.BoolVar(&o.retry, "retry", false, "try once more what lived by the diary")
	tests := flags.String("tests", "", "run only the tests whose name matches")
	flags.IntVar(&o.jobs, "jobs", 2, "how many are tried at a time")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	o.packages = strings.Split(*packages, ",")
	if *only != "" {
		o.only, err = regexp.Compile(*only)
	}
	if *tests != "" && err == nil {
		o.named, err = regexp.Compile(*tests)
	}
	return o, err
}

func run(args []string, out io.Writer) error {
	dirs, tests := targets()
	o, err := read(args, dirs)
	if err != nil {
		return err
	}
	reasons, err := readEquivalent()
	if err != nil {
		return err
	}
	d, err := openDiary(o.diary)
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp(o.diary, "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	packs, err := load(dirs)
	if err != nil {
		return err
	}
	s, err := makeSchema(packs, folder)
	if err != nil {
		return err
	}
	if wrong := stale(reasons, s.mutants); len(wrong) > 0 {
		return errors.New(strings.Join(wrong, "\n"))
	}
	h := &hunt{schema: s, folder: folder, tests: tests, reasons: reasons, options: o, out: out, suites: map[string]*suite{}, deeds: deeds{},
		diary: d, end: time.Now().Add(o.during)}
	if o.sample > 0 {
		k, err := readKnown()
		if err != nil {
			return err
		}
		return h.sample(draw(h.others(k), o.sample, o.seed), k.killers)
	}
	results, err := h.all(func(r *result) error {
		if o.only != nil || o.named != nil || r.mutants == 0 {
			return nil
		}
		return h.keep(dirs, r)
	})
	if err != nil {
		return err
	}
	return judge(results)
}

// judge says what is wrong with the results.
func judge(results map[string]*result) error {
	var errs []error
	for _, r := range results {
		for _, w := range r.wrong {
			errs = append(errs, errors.New(w))
		}
		if r.share() > most {
			errs = append(errs, fmt.Errorf("%s: more than %g %% live", r.dir, most))
		}
	}
	return errors.Join(errs...)
}
