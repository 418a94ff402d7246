package draw

import (
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/sweep"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/sequencetest"
	"pullcard/tui/internal/golden"
)

// wide22 is an invented badminton frame with holes that carry a main and a cross.
const wide22 = `name = "Wide twenty-two"
sport = "badminton"
mains = 22
crosses = 22
start = "head"
holes = 38
mains_head = ["1H","2H","3H","4H","5H","6H","7H","9H","10H","11H","13H"]
mains_throat = ["1T","2T","3T","4T","5T","6T","8T","9T","10T","11T","12T"]
crosses_left = ["8H","10H","11H","12H","13H","14H","15H","16H","17H","18H","19H","19T","18T","17T","16T","15T","14T","13T","12T","10T","9T","7T"]
shared = ["10H","11H","13H","9T","10T","12T"]
[tie]
mains = ["11T"]
crosses = ["7H","6T"]
`

// onePiece and around are technique sheets of the test's own, for one piece of string.
const onePiece = `name = "One piece"
pieces = 1
[clamps]
fixed = 2
starting = 1
[mains]
short = "L"
`

const around = `name = "One piece, round the outer main"
pieces = 1
around = true
[clamps]
fixed = 2
starting = 1
[mains]
short = "L"
`

// sheets are the built-in technique sheets, onePiece, around and pairs.
func sheets() []string { return append(library.Techniques(), "one-piece", "around", "pairs") }

// layouts are the built-in layouts and wide22.
func layouts() []string { return append(library.Layouts(), "wide22") }

func frame(t testing.TB, layout string) *patterns.Frame {
	if layout == "wide22" {
		layout = wide22
	}
	return sequencetest.Layout(t, layout)
}

func build(t testing.TB, layout, technique string) (*patterns.Frame, *plan.Plan) {
	f, p, err := tryBuild(t, layout, technique)
	require.NoError(t, err)
	return f, p
}

// everyPlan calls a test with the plan of every layout by every technique that it takes.
func everyPlan(t *testing.T, test func(where string, f *patterns.Frame, p *plan.Plan)) {
	tried, n := 0, 0
	for _, layout := range layouts() {
		for _, technique := range sheets() {
			if tried++; !sweep.Take(tried, 3) {
				continue
			}
			if f, p, err := tryBuild(t, layout, technique); err == nil {
				test(layout+", "+technique, f, p)
				n++
			}
		}
	}
	require.GreaterOrEqual(t, n, sweep.Share(3*len(layouts()), 3), "the two-piece sheets go with all layouts")
}

func tryBuild(t testing.TB, layout, technique string) (*patterns.Frame, *plan.Plan, error) {
	w, err := sequencetest.Make(t, frame(t, layout), sheet(t, technique), "[tension]\nmains = \"24 kg\"\n")
	return w.Frame, w.Plan, err
}

func sheet(t testing.TB, technique string) *sequence.Technique {
	if text := map[string]string{"one-piece": onePiece, "around": around, "pairs": sequencetest.Flying}[technique]; text != "" {
		technique = text
	}
	return sequencetest.Sheet(t, technique)
}

// palette is a theme on a terminal with all colours.
func palette(t testing.TB, name string, ascii bool) Palette {
	return NewPalette(golden.Theme(t, name, termenv.TrueColor), ascii)
}

func views() []View {
	var all []View
	for _, mirror := range []bool{false, true} {
		for v, i := (View{Mirror: mirror}), 0; i < 4; v, i = v.Next(), i+1 {
			all = append(all, v)
		}
	}
	return all
}

// stepOf is the number of the first step that pulls (or, with lay, lays) a strand.
func stepOf(t testing.TB, p *plan.Plan, do plan.OpKind, strand plan.Strand) int {
	for i := range p.Steps {
		for _, op := range p.Steps[i].Ops {
			if op.Op == do && op.Strand == strand {
				return i + 1
			}
		}
	}
	require.Failf(t, "no such step", "%s %s", do, strand)
	return 0
}
