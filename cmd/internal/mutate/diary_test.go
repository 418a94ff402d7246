package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What was tried is not tried again, but what lived under other tests or another patience, and what was killed by a test that no
// longer passes by it; a page counts for the text of its function alone.
func TestDiary(t *testing.T) {
	folder := t.TempDir()
	d, err := openDiary(folder)
	require.NoError(t, err)
	mutant := func(is string) Mutant { return Mutant{ID: len(is), Package: "p", Func: "f", Sum: 1, Was: "a", Is: is} }
	suites := map[string]*suite{"p": {dir: "p", sum: "0123456789"}}
	killer := &test{suite: suites["p"], name: "TestIt"}
	suites["p"].tests = []*test{killer}
	h := &hunt{options: options{patience: time.Second}, tests: map[string][]string{"p": {"p"}}, suites: suites, diary: d,
		met: map[int][]*test{2: {killer}}}
	require.NoError(t, d.note(mutant("b"), nil, time.Second, h.under("p")))
	require.NoError(t, d.note(mutant("cc"), killer, time.Second, h.under("p")))
	require.NoError(t, d.note(mutant("ddd"), killer, time.Second, h.under("p")))
	h.diary, err = openDiary(folder)
	require.NoError(t, err)

	assert.False(t, h.wanted(mutant("b")))
	assert.False(t, h.wanted(mutant("cc")))
	assert.True(t, h.wanted(mutant("ddd")), "TestIt passes it by now")
	assert.True(t, h.wanted(mutant("eeee")), "nobody tried it")
	other := mutant("b")
	other.Sum++
	assert.True(t, h.wanted(other), "the function was edited")
	h.retry = true
	assert.False(t, h.wanted(mutant("b")), "nothing changed since")
	h.patience *= 2
	assert.True(t, h.wanted(mutant("b")))
	h.patience, suites["p"].sum = time.Second, "9"
	assert.True(t, h.wanted(mutant("b")), "tests changed")
	killer.name = "TestOther"
	assert.True(t, h.wanted(mutant("cc")), "TestIt is gone")
}
