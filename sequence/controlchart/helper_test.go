package controlchart

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with a file under testdata/controlchart.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "controlchart", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "%s; run with -update to take it over", name)
}

// series makes points of values, an hour apart.
func series(values ...float64) []Point {
	out := make([]Point, len(values))
	for i, v := range values {
		out[i] = Point{Job: int64(101 + i), Value: v, At: began().Add(time.Duration(i) * time.Hour)}
	}
	return out
}

// began is when the invented series begin.
func began() time.Time { return time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC) }

// chart judges the values after the first LeastBaseline by those.
func chart(t require.TestingT, values ...float64) *Chart { return charted(t, series(values...)) }

func charted(t require.TestingT, points []Point) *Chart {
	var base *Baseline
	if len(points) >= LeastBaseline {
		b, err := Judge("", points[:LeastBaseline])
		require.NoError(t, err)
		base = &b
	}
	c, err := New(points, base)
	require.NoError(t, err)
	return c
}

// calm are twenty invented values around 0.867.
func calm() []float64 {
	return []float64{.861, .872, .868, .859, .870, .864, .877, .866, .869, .861, .863, .871, .867, .860, .874, .865, .868, .871, .862, .866}
}

// shop is an invented series: a calm baseline, then one reading far off after two slips, and beds that come out tighter from
// the day on which another machine is used.
func shop() []Point {
	points := series(append(calm(), .870, .801, .863, .871, .867, .888, .893, .885, .897, .890, .886, .895, .891)...)
	for i := range points {
		points[i].Machine, points[i].String, points[i].Stringer = "bench one", "Invented round", "Sam Sample"
		if i >= 25 {
			points[i].Machine = "bench two"
		}
	}
	points[21].Slips, points[21].Bare = 2, 26*time.Minute
	return points
}

// someValues draws readings around nought to a thousand.
func someValues(t *rapid.T) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-1000, 1000), 2, 60).Draw(t, "values")
}
