package sequence_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/patterns/source"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/referee"
)

// small is an invented frame, small so that a plan of it takes no time.
const small = `name = "Small"
sport = "tennis"
mains = 6
crosses = 4
start = "throat"
[tie]
mains = ["1H", "2H", "3H", "1T", "2T", "3T"]
crosses = ["1H", "2H", "3H", "1T", "2T", "3T"]
[tension]
min = "20 kg"
max = "25 kg"
`

// watch ends the test when it takes so long that it must hang.
func watch() (stop func() bool) {
	return time.AfterFunc(20*time.Second, func() { panic("this input hangs the reader") }).Stop
}

// requireProblems holds that an error is a list of problems, each with a place and on one line.
func requireProblems(t *testing.T, file string, err error) {
	t.Helper()
	var ps source.Problems
	require.True(t, errors.As(err, &ps), "%v", err)
	require.NotEmpty(t, ps)
	for _, p := range ps {
		require.Equal(t, file, p.File)
		require.True(t, p.Line >= 1 && p.Col >= 1 || strings.Contains(p.Text, "at most"), "%v", p)
		require.NotContains(t, p.Text, "\n")
		require.True(t, utf8.ValidString(p.Text), "%q", p.Text)
	}
}

// requireSound holds that a plan keeps the rules, or that there is none and the error says what is wrong in a file.
func requireSound(t *testing.T, p *plan.Plan, err error) {
	t.Helper()
	if err != nil {
		var ps source.Problems
		require.True(t, errors.As(err, &ps), "%v", err)
		return
	}
	require.Empty(t, referee.Check(p))
}

// No sheet makes the reader panic or hang; one that it takes makes a plan that keeps the rules, or says why there is none.
func FuzzReadTechnique(f *testing.F) {
	for _, name := range library.Techniques() {
		data, _ := library.Technique(name)
		f.Add(data)
	}
	f.Add([]byte("name = 'n'\npieces = 1\naround = true\nmains = { short = 'R', boost = 2 }\ncrosses.from = 'throat'\n"))
	f.Add([]byte("[mount]\norder = ['a', 'b']\nrelease = ['b', 'a']\n[clamps]\nflying = 2\n[boost]\namount = '2 kg'\n[tie]\ntail = '1 cm'\n"))
	frame, _, err := patterns.ReadLayout("small.toml", []byte(small))
	require.NoError(f, err)
	tension, err := measure.ParseTension("24 kg")
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, data []byte) {
		defer watch()()
		sheet, _, err := sequence.ReadTechnique("sheet.toml", data)
		if err != nil {
			requireProblems(t, "sheet.toml", err)
			return
		}
		p, err := sequence.Build(frame, sheet, tension, tension)
		requireSound(t, p, err)
	})
}

// No job makes the reader panic or hang; one that it takes has a tension that a racket can bear, and its plan keeps the
// rules.
func FuzzReadJob(f *testing.F) {
	data, err := os.ReadFile(filepath.Join("..", "testdata", "jobs", "club.toml"))
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte("frame = 'f'\ntechnique = 't'\ntension = { mains = '53.5 lb', crosses = '235 N' }\nstring.crosses.mass = '1.7 g/m'\n"))
	frame, _, err := patterns.ReadLayout("small.toml", []byte(small))
	require.NoError(f, err)
	sheet, ok := library.Technique("two-piece-skip")
	require.True(f, ok)
	technique, _, err := sequence.ReadTechnique("two-piece-skip", sheet)
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, data []byte) {
		defer watch()()
		job, _, err := sequence.ReadJob("job.toml", data)
		if err != nil {
			requireProblems(t, "job.toml", err)
			return
		}
		for _, n := range []float64{job.Mains.Newtons(), job.Crosses.Newtons()} {
			require.True(t, n > 0 && n <= 1000, "%g N", n)
		}
		p, err := job.Plan(frame, technique)
		requireSound(t, p, err)
	})
}
