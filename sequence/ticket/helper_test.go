package ticket

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/sequencetest"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with a file under testdata/tickets.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "tickets", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "%s; run with -update to take it over", name)
}

// planned makes a plan of a built-in layout and technique sheet.
func planned(t testing.TB, layout, technique, mains, crosses string) (*patterns.Frame, *plan.Plan) {
	t.Helper()
	f, p, err := tryPlan(t, layout, technique, mains, crosses)
	require.NoError(t, err)
	return f, p
}

// tryPlan fails where the technique sheet does not suit the layout.
func tryPlan(t require.TestingT, layout, technique, mains, crosses string) (*patterns.Frame, *plan.Plan, error) {
	w, err := sequencetest.Try(t, layout, technique, fmt.Sprintf("[tension]\nmains = %q\ncrosses = %q\n", mains, crosses))
	return w.Frame, w.Plan, err
}

// began is when the invented job began.
func began() time.Time { return time.Date(2031, 5, 4, 9, 0, 0, 0, time.FixedZone("", 2*3600)) }

// done are the events that finish a plan from a step on, half a minute each.
func done(p *plan.Plan, from int) (events []progress.Event) {
	for n := from; n <= len(p.Steps); n++ {
		events = append(events, progress.Event{At: began().Add(time.Duration(n) * 30 * time.Second), Kind: progress.Done, Step: n})
	}
	return events
}

// plain is an invented job without anything odd.
func plain(t testing.TB) Facts {
	f, p := planned(t, "club-sixteen", "two-piece-skip", "24 kg", "23 kg")
	warm := 21.0
	return Facts{
		Number: 12, Player: "Ada Example", Racket: "blue, number two", Stringer: "Sam Sample",
		Mains:   sequence.String{Name: "Invented round", DiameterMM: 1.25, Material: "polyester"},
		Crosses: sequence.String{Name: "Invented soft", DiameterMM: 1.3, Material: "nylon"},
		Machine: sequence.Machine{Name: "bench one", Kind: sequence.ConstantPull},
		Plan:    p, Events: done(p, 1), Hoop: f.Hoop, PlaysAWeek: 2,
		Reading: &Reading{Value: 571, Unit: "Hz", After: 10 * time.Minute, Celsius: &warm},
	}
}

func made(t testing.TB, f Facts) *Ticket {
	t.Helper()
	out, err := New(f)
	require.NoError(t, err)
	return out
}
