package chart

import (
	"flag"
	"fmt"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"pullcard/sequence/controlchart"
	"pullcard/sequence/records"
	"pullcard/tui/internal/golden"
	"pullcard/tui/screen"
)

// All readings, machines and stringers of these tests are invented.

var update = flag.Bool("update", false, "write the golden files anew")

// readings make a chart of values a day apart, judged by the first twenty.
func readings(t testing.TB, values ...float64) *controlchart.Chart {
	points := make([]controlchart.Point, len(values))
	for i, v := range values {
		points[i] = controlchart.Point{Job: int64(101 + i), Value: v, At: time.Date(2031, 5, 4+i, 9, 0, 0, 0, time.UTC), Machine: "invented bench"}
	}
	var base *controlchart.Baseline
	if len(points) >= controlchart.LeastBaseline {
		b, err := controlchart.Judge("", points[:controlchart.LeastBaseline])
		require.NoError(t, err)
		base = &b
	}
	c, err := controlchart.New(points, base)
	require.NoError(t, err)
	return c
}

// words tell of the alarms.
func words(c *controlchart.Chart) (out []string) {
	for _, i := range c.Flagged() {
		out = append(out, fmt.Sprintf("job %d, %.3f: %s · nothing that the book knows of changed", c.Points[i].Job, c.Points[i].Value, c.Alarms[i]))
	}
	return out
}

// series are readings in a long series with one far off and then another machine, in one that drifts, in a short one and in none.
func series(t testing.TB) []Series {
	calm := []float64{.861, .872, .868, .859, .870, .864, .877, .866, .869, .861, .863, .871, .867, .860, .874, .865, .868, .871, .862, .866}
	long := readings(t, append(calm, .870, .801, .863, .871, .867, .888, .893, .885, .897, .890, .886, .895, .891)...)
	drifting := make([]float64, len(calm))
	for i, v := range calm {
		drifting[i] = v - .001*float64(i)
	}
	return []Series{
		{Title: "all readings", Chart: long, Words: words(long), Baseline: records.Baseline{With: "tap"}, Note: "2 readings are not in it: nothing was computed for them"},
		{Title: "invented bench one", Chart: readings(t, drifting...)},
		{Title: "Sam Sample (invented)", Chart: readings(t, .87, .86, .88)},
		{Title: "Invented round 1.25", Note: "1 reading so far"},
	}
}

func plainly(t testing.TB, list []Series, ascii bool) Model {
	return New(nil, list, golden.Plain(t), ascii).SetSize(80, 24)
}

// press gives keys to the screen and tells whether it was left.
func press(m Model, keys ...string) (_ Model, left bool) {
	for _, k := range keys {
		var cmd tea.Cmd
		m, cmd = m.Update(golden.Key(k))
		left = cmd != nil && cmd() == screen.LeaveMsg{}
	}
	return m, left
}

func shows(m Model) string { return ansi.Strip(m.View()) }
