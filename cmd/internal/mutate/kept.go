package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"
	"strings"
)

const (
	equivalentFile = "cmd/internal/mutate/equivalent.txt"
	resultFile     = "cmd/internal/mutate/mutants.txt"
)

// readEquivalent reads the keys of mutants that cannot be told from the code, each with its reason indented below it. One
// reason may stand below several keys.
func readEquivalent() (map[string]string, error) {
	text, err := os.ReadFile(equivalentFile)
	if err != nil {
		return nil, err
	}
	reasons := map[string]string{}
	var open []string
	for i, line := range strings.Split(string(text), "\n") {
		reason, indented := strings.CutPrefix(line, "\t")
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case !indented:
			if _, twice := reasons[line]; twice {
				return nil, fmt.Errorf("%s:%d: listed twice: %s", equivalentFile, i+1, line)
			}
			reasons[line] = ""
			open = append(open, line)
		default:
			for _, key := range open {
				reasons[key] = reason
			}
			open = nil
		}
	}
	for _, key := range open {
		return nil, fmt.Errorf("%s: no reason is given for %s", equivalentFile, key)
	}
	return reasons, nil
}

// A result is what came of the mutants of one package, as the result file keeps it.
type result struct {
	dir                 string
	mutants, equivalent int
	left                int // that time was not enough for
	alive               []Mutant
	killers             map[string]string // by key
	wrong               []string          // what is listed wrongly
}

func (r *result) share() float64 {
	return 100 * float64(len(r.alive)) / float64(max(1, r.mutants-r.equivalent))
}

// String is the line of the package.
func (r *result) String() string {
	text := fmt.Sprintf("%s: %d mutants, ", r.dir, r.mutants+r.left)
	if r.left > 0 {
		text += fmt.Sprintf("%d%s", r.mutants, byLot)
	}
	text += fmt.Sprintf("%d killed, %d equivalent, %d alive (%.1f %%", r.mutants-r.equivalent-len(r.alive), r.equivalent, len(r.alive), r.share())
	if r.left > 0 {
		low, high := interval(len(r.alive), r.mutants-r.equivalent)
		text += fmt.Sprintf(", %.1f to %.1f of all", 100*low, 100*high)
	}
	return text + ")"
}

const byLot = " tried by lot, "

// interval is where a share lies in 95 % of all samples, of which so many showed it: Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
func interval(k, n int) (low, high float64) {
	const z = 1.959964
	m, p := float64(max(n, 1)), float64(k)/float64(max(n, 1))
	middle, half := p+z*z/(2*m), z*math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return max(0, middle-half) / (1 + z*z/m), (middle + half) / (1 + z*z/m)
}

const (
	aliveMark  = "\talive "
	drawnMark  = "\tdrawn "
	killedMark = "\t\tkilled by "
)

// keep writes the result of a package into the result file. The others keep what they had.
func keep(dirs []string, r *result, drawn []Mutant) error {
	sections, err := readResults()
	if err != nil {
		return err
	}
	var mine strings.Builder
	fmt.Fprintln(&mine, r)
	for _, m := range r.alive {
		fmt.Fprintln(&mine, aliveMark+m.Key())
	}
	for _, m := range drawn {
		if killer := r.killers[m.Key()]; killer != "" {
			fmt.Fprintln(&mine, drawnMark+m.Key())
			fmt.Fprintln(&mine, killedMark+killer)
		}
	}
	sections[r.dir] = mine.String()
	text := "# What came of the mutants of each package; written by go run ./cmd/internal/mutate.\n"
	for _, dir := range dirs {
		text += sections[dir]
	}
	return os.WriteFile(resultFile, []byte(text), 0o666)
}

// readResults reads the result file, the lines of each package together.
func readResults() (map[string]string, error) {
	text, err := os.ReadFile(resultFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	out := map[string]string{}
	dir := ""
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "\t") {
			dir, _, _ = strings.Cut(line, ":")
		}
		if !strings.HasPrefix(line, "#") {
			out[dir] += line
		}
	}
	return out, nil
}

// known is what the result file tells: of which packages, which mutants lived, and what killed some of those that did not.
type known struct {
	dirs, alive map[string]bool
	killers     map[string]string
}

func readKnown() (known, error) {
	sections, err := readResults()
	k := known{map[string]bool{}, map[string]bool{}, map[string]string{}}
	for dir, section := range sections {
		k.dirs[dir] = !strings.Contains(section, byLot)
		key := ""
		for line := range strings.Lines(section) {
			line = strings.TrimSuffix(line, "\n")
			if alive, ok := strings.CutPrefix(line, aliveMark); ok {
				k.alive[alive] = true
			} else if drawn, ok := strings.CutPrefix(line, drawnMark); ok {
				key = drawn
			} else if killer, ok := strings.CutPrefix(line, killedMark); ok {
				k.killers[key] = killer
			}
		}
	}
	return k, err
}

// stale are the listed keys for which there is no mutant.
func stale(reasons map[string]string, all []Mutant) []string {
	there := map[string]bool{}
	for _, m := range all {
		there[m.Key()] = true
	}
	var out []string
	for key := range reasons {
		if !there[key] {
			out = append(out, "listed as equivalent, but there is no such mutant: "+key)
		}
	}
	slices.Sort(out)
	return out
}
