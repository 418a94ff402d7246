package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/cmd/internal/disk"
	"pullcard/patterns"
	"pullcard/patterns/grid"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
)

// said runs the program and returns its standard output; it is to end with exit status 0 and no word on standard error.
func said(t testing.TB, args ...string) string {
	t.Helper()
	var out, wrong bytes.Buffer
	require.Equal(t, exitDone, run(args, strings.NewReader(""), &out, &wrong), "%s", wrong.String())
	require.Empty(t, wrong.String())
	return out.String()
}

func decode[T any](t testing.TB, text string) (v T) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(text), &v), text)
	return v
}

// files writes files into a folder and returns the path of the first.
func files(t testing.TB, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i < len(names); i += 2 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, names[i]), []byte(names[i+1]), 0o600))
	}
	return filepath.Join(dir, names[0])
}

// lengthsOf are the lengths of a job as scripts read them.
type lengthsOf struct {
	Pieces []struct {
		Name    string
		CutMM   float64 `json:"cut_mm"`
		ShortMM float64 `json:"short_mm"`
		Terms   []struct {
			What string
			MM   float64
		}
	}
	Spans    map[string]float64
	Left     []struct{ MM float64 }
	Tensions map[string]string
	Doubts   []string
}

// Chords of an ellipse with half-width 130 and half-length 170, computed: at x = 50 a main is 313.846153846 long, at
// x = 120 130.769230769; a cross at y = 0 is 260 long, at y = 8.3 260·√(1 − (8.3/170)²). The measured pitches put the
// strands there: mains 3.5 and 6.5 pitches from the middle.
func TestCutSpans(t *testing.T) {
	const layout = `name = "chords"
sport = "tennis"
start = "head"
%s
[tie]
mains = ["1H", "2H", "3H", "6H", "1T", "2T", "3T", "6T"]
crosses = ["1H", "2H", "3H", "6H", "1T", "2T", "3T", "6T"]
[hoop]
length = "340 mm"
width = "260 mm"
[measured]
%s
`
	for _, c := range []struct {
		counts, pitches, main string
		want                  float64
		cross                 string
		wide                  float64
	}{
		{`mains = 16
crosses = 19
skip = ["7H", "9H", "7T", "9T"]`, `main_pitch = "14.285714 mm"`, "M4", 313.846153846, "C10", 260},
		{`mains = 14
crosses = 18
skip = ["5H", "7H", "8H", "10H", "11H", "5T", "7T", "8T", "10T", "11T"]`, `main_pitch = "18.461538 mm"
cross_pitch = "16.6 mm"`, "M7", 130.769230769, "C9", 259.689929},
	} {
		job := files(t, "job.toml", "frame = \"layout.toml\"\ntechnique = \"two-piece-clamp\"\n[tension]\nmains = \"24 kg\"\n",
			"layout.toml", fmt.Sprintf(layout, c.counts, c.pitches))
		l := decode[lengthsOf](t, said(t, "cut", "--json", job))
		assert.InDelta(t, c.want, l.Spans[c.main+"L"], 1e-4)
		assert.InDelta(t, c.want, l.Spans[c.main+"R"], 1e-4)
		assert.InDelta(t, c.wide, l.Spans[c.cross], 1e-3)
		assert.Contains(t, said(t, "cut", job), " mm apart as measured")
	}
}

// techniqueFor is a built-in sheet that fits a layout, in as many pieces.
func techniqueFor(t testing.TB, f *patterns.Frame, pieces int) string {
	if pieces == 2 {
		return "two-piece-clamp"
	}
	if ends := len(f.Mains[patterns.Left])%2 == 0; ends == (f.Start == patterns.Head) {
		return "one-piece"
	}
	return "one-piece-around"
}

// The terms of every piece of every built-in layout add up to its length, which a tape reads and which lies in the usual
// band of its sport, or near it: common practice of the trade.
func TestCutLibrary(t *testing.T) {
	sweep.Only(t)
	for i, name := range library.Layouts() {
		if !sweep.Take(i, 3) {
			continue
		}
		f, err := disk.Files().Layout(name)
		require.NoError(t, err)
		for _, pieces := range []int{1, 2} {
			sheet := techniqueFor(t, f, pieces)
			job := jobFile(t, "job.toml", "blue", name, sheet)
			text := said(t, "cut", job)
			l := decode[lengthsOf](t, said(t, "cut", "--json", job))
			require.Len(t, l.Pieces, pieces, "%s by %s", name, sheet)
			assert.Empty(t, l.Doubts, "%s by %s", name, sheet)
			whole := 0.0
			for _, p := range l.Pieces {
				sum := 0.0
				for _, term := range p.Terms {
					assert.GreaterOrEqual(t, term.MM, 0.0)
					sum += term.MM
					assert.Contains(t, text, fmt.Sprintf("%9.1f mm  %s\n", term.MM, term.What))
				}
				assert.InDelta(t, p.CutMM, sum, 1e-6)
				assert.InDelta(t, p.CutMM, grid.RoundUp(p.CutMM, 5), 1e-9)
				assert.LessOrEqual(t, p.ShortMM, p.CutMM/2)
				assert.Contains(t, text, fmt.Sprintf("cut %g mm (%s)", p.CutMM, grid.FeetInches(p.CutMM)))
				whole += p.CutMM
			}
			t.Logf("%-20s %-16s %.0f mm", name, sheet, whole)
		}
	}
}

// Where a job names no set and the pieces pass the one that the sport's string is sold in, it is said with what the house may
// save; no length is shortened for it, least of all the reach.
func TestCutPassesTheSet(t *testing.T) {
	job := func(more string) string {
		return files(t, "job.toml", "frame = \"shuttle-twentytwo\"\ntechnique = \"two-piece-clamp\"\n[tension]\nmains = \"11 kg\"\n"+more)
	}
	type saved struct {
		TooLong string `json:"too_long"`
		Savings []grid.Saving
		Pieces  []grid.Piece
	}
	l := decode[saved](t, said(t, "cut", "--json", job("")))
	assert.Contains(t, l.TooLong, "a set of 10 m holds 10000 mm")
	assert.Contains(t, l.TooLong, "the reach to the gripper stays")
	require.Len(t, l.Savings, 3)
	assert.Equal(t, []float64{200, 100, 88}, []float64{l.Savings[0].MM, l.Savings[1].MM, l.Savings[2].MM}, "the largest first: knot, margin, walls")
	assert.Contains(t, said(t, "cut", job("")), "\n! "+l.TooLong+"\n")
	reach := 0
	for _, p := range l.Pieces {
		for _, term := range p.Terms {
			if term.Kind == grid.Reach {
				reach++
				assert.Equal(t, 400.0, term.MM)
			}
		}
	}
	assert.Equal(t, 4, reach)
	var out, wrong bytes.Buffer
	assert.Equal(t, exitInput, run([]string{"cut", job("[string.mains]\nlength = \"10 m\"\n")}, nil, &out, &wrong))
	assert.Contains(t, wrong.String(), "600 mm")
	assert.Contains(t, wrong.String(), "the house may save: a starting knot")
	assert.Empty(t, decode[saved](t, said(t, "cut", "--json", job("[string.mains]\nlength = \"11 m\"\n"))).TooLong)
	assert.Empty(t, decode[saved](t, said(t, "cut", "--json", bedJob(t, "club-sixteen", "24 kg", ""))).TooLong)
}

// Spans, walls, runs and reach are those of the plan: a shorter reach shortens both free ends by as much, a starting knot
// takes its tail instead of the reach, and one piece needs no second pair of ends.
func TestCutFollowsThePlan(t *testing.T) {
	cut := func(technique, more string) lengthsOf {
		return decode[lengthsOf](t, said(t, "cut", "--json", files(t, "job.toml", "frame = \"harbour-sixteen\"\ntechnique = \""+technique+"\"\n[tension]\nmains = \"24 kg\"\n"+more)))
	}
	clamp, knot, skip, one := cut("two-piece-clamp", ""), cut("two-piece-knot", ""), cut("two-piece-skip", ""), cut("one-piece", "")
	assert.Equal(t, clamp.Spans, one.Spans)
	assert.Equal(t, clamp.Pieces[0].CutMM, knot.Pieces[0].CutMM)
	assert.InDelta(t, 200, clamp.Pieces[1].CutMM-knot.Pieces[1].CutMM, 1e-9)
	assert.Equal(t, clamp.Pieces[1].CutMM, skip.Pieces[1].CutMM, "the same string, begun at the second cross")
	assert.Zero(t, clamp.Pieces[1].ShortMM)
	assert.InDelta(t, skip.Spans["C1"]+24+400, skip.Pieces[1].ShortMM, 20, "the first cross, its walls, half a run and the reach")
	assert.Equal(t, clamp.Pieces[0].CutMM/2, clamp.Pieces[0].ShortMM)
	assert.Equal(t, clamp.Pieces[0].ShortMM, one.Pieces[0].ShortMM-2.5, "the short side of the whole is a side of the mains, rounded up")
	assert.InDelta(t, clamp.Pieces[0].CutMM+clamp.Pieces[1].CutMM-2*400, one.Pieces[0].CutMM, 60, "two ends fewer and a run from main to cross")
	near := cut("two-piece-clamp", "[machine]\nreach = \"350 mm\"\n")
	assert.InDelta(t, 100, clamp.Pieces[0].CutMM-near.Pieces[0].CutMM, 1e-9)

	drawn := cut("two-piece-clamp", "proportional = true\n")
	assert.Equal(t, "24 kg", drawn.Tensions["M1L"])
	assert.Len(t, drawn.Tensions, 35)
	assert.Empty(t, clamp.Tensions)
}
