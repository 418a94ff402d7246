package controlchart_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pullcard/sequence/controlchart"
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
func series(values ...float64) []controlchart.Point {
	out := make([]controlchart.Point, len(values))
	for i, v := range values {
		out[i] = controlchart.Point{Job: int64(101 + i), Value: v, At: began().Add(time.Duration(i) * time.Hour)}
	}
	return out
}

// began is when the invented series begin.
func began() time.Time { return time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC) }

func chart(t testing.TB, baseline int, values ...float64) *controlchart.Chart {
	t.Helper()
	c, err := controlchart.New(series(values...), baseline)
	require.NoError(t, err)
	return c
}

// shop is an invented series: one reading far off after two slips, and beds that come out tighter from the day on which
// another machine is used.
func shop() []controlchart.Point {
	points := series(.861, .872, .868, .859, .870, .864, .877, .866, .869, .801, .863, .871, .867, .860, .874, .865,
		.888, .893, .885, .897, .890, .886, .895, .891)
	for i := range points {
		points[i].Machine, points[i].String, points[i].Stringer = "bench one", "Invented round", "Sam Sample"
		if i >= 16 {
			points[i].Machine = "bench two"
		}
	}
	points[9].Slips, points[9].Bare = 2, 26*time.Minute
	return points
}

// someValues draws readings around nought to a thousand.
func someValues(t *rapid.T) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-1000, 1000), 2, 60).Draw(t, "values")
}
