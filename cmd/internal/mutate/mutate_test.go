//go:build sweep

package main

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pullcard/patterns/sweep"
)

const toy = "cmd/internal/mutate/testdata/toy"

// inModule goes to the module's folder, as the command is run from there.
func inModule(t *testing.T) {
	require.NoError(t, os.Chdir("../../.."))
	t.Cleanup(func() { require.NoError(t, os.Chdir("cmd/internal/mutate")) })
}

func toySchema(t *testing.T) *schema {
	packs, err := load([]string{toy})
	require.NoError(t, err)
	s, err := makeSchema(packs, t.TempDir())
	require.NoError(t, err)
	return s
}

// Of every mutant of a package it is known by hand whether its tests kill it.
func TestToy(t *testing.T) {
	inModule(t)
	h := &hunt{schema: toySchema(t), options: options{packages: []string{toy}, patience: time.Minute, jobs: 2}, folder: t.TempDir(),
		tests: map[string][]string{toy: {toy}}, out: io.Discard, suites: map[string]*suite{}, deeds: deeds{},
		end: time.Now().Add(time.Hour)}
	kept := 0
	note := func(*result) error { kept++; return nil }
	results, err := h.all(note)
	require.NoError(t, err)
	var alive, killed []string
	for _, m := range results[toy].alive {
		alive = append(alive, strings.TrimPrefix(m.Key(), toy+" "))
	}
	for key, killer := range results[toy].killers {
		killed = append(killed, strings.TrimPrefix(key, toy+" ")+" "+strings.TrimPrefix(killer, toy+" "))
	}
	slices.Sort(killed)
	assert.Equal(t, []string{
		"Far: n > far → n > far+1", "Far: n > far → n > far-1",
		`Never: ok → !ok`,
	}, alive)
	assert.Equal(t, []string{
		"Between: n <= high → n < high TestBetween", "Between: n <= high → n > high TestBetween",
		"Between: n >= low && n <= high → n >= low || n <= high TestBetween",
		"Between: n >= low → n < low TestBetween", "Between: n >= low → n > low TestBetween",
		"Far: n > far → n <= far TestFar",
		"First: break → continue TestFirst", "First: continue → break TestFirst",
		"First: n++ → n-- TestFirst", "First: v < 0 → v <= 0 TestFirst", "First: v < 0 → v >= 0 TestFirst",
	}, killed)
	require.ErrorContains(t, judge(results), "more than 3 % live")

	// What is listed as equivalent has to be there, and alive.
	h.reasons = map[string]string{toy + " First: n++ → n--": "wrong", toy + " Never: ok → !ok": "nobody asks", "gone": "gone"}
	results, err = h.all(note)
	require.NoError(t, err)
	require.ErrorContains(t, judge(results), "listed as equivalent, but "+toy+" TestFirst kills it")
	assert.Len(t, results[toy].alive, 2)
	assert.Len(t, stale(h.reasons, h.mutants), 1)
	assert.Equal(t, 2, kept)
}

// An edit of one function leaves the lots of all others as they were.
func TestDrawnByKey(t *testing.T) {
	inModule(t)
	all := toySchema(t).mutants
	drawn := draw(all, 5, 1)
	moved := slices.DeleteFunc(slices.Clone(all), func(m Mutant) bool { return !slices.Contains(drawn, m) && m.Func == "Between" })
	for i := range moved {
		moved[i].ID += 100
	}
	keys := func(all []Mutant) (out []string) {
		for _, m := range all {
			out = append(out, m.Key())
		}
		return out
	}
	assert.Equal(t, keys(drawn), keys(draw(moved, 5, 1)))
	assert.NotEqual(t, keys(drawn), keys(draw(all, 5, 2)))
}

// Every package that is hunted compiles with its mutants, its lines where they were, and has those that are listed as equivalent.
func TestLinesStay(t *testing.T) {
	sweep.Only(t)
	inModule(t)
	dirs, _ := targets()
	packs, err := load(dirs)
	require.NoError(t, err)
	all, err := makeSchema(packs, t.TempDir())
	require.NoError(t, err)
	reasons, err := readEquivalent()
	require.NoError(t, err)
	assert.Empty(t, stale(reasons, all.mutants))
	for _, p := range packs {
		for _, f := range p.files {
			was, is := strings.Count(string(f.bytes), "\n"), strings.Count(string(f.rewritten(1)), "\n")
			assert.Equal(t, was, is, filepath.Base(f.path))
		}
	}
}
