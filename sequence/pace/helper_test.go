package pace_test

import (
	"strconv"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/patterns"
	"pullcard/patterns/library"
	"pullcard/patterns/measure"
	"pullcard/sequence"
	"pullcard/sequence/plan"
	"pullcard/sequence/run"
)

// noon is an invented day's.
func noon() time.Time { return time.Date(2031, 5, 4, 12, 0, 0, 0, time.FixedZone("bench", 2*3600)) }

// minute is a time of that day, in minutes after noon.
func minute(m float64) time.Time { return noon().Add(time.Duration(m * float64(time.Minute))) }

func strandStep(phase plan.Phase, do plan.Do, s plan.Strand) plan.Step {
	return plan.Step{Phase: phase, Title: string(do) + " " + string(s), Ops: []plan.Op{{Op: do, Strand: s}}}
}

// small is an invented frame of two mains and two crosses, in 8 steps.
func small() *plan.Plan {
	return &plan.Plan{
		Terms: plan.Terms{Pieces: 2, Mains: []plan.Chord{{Strand: "M1L"}, {Strand: "M1R"}}, Crosses: []plan.Chord{{Strand: "C1"}, {Strand: "C2"}}},
		Steps: []plan.Step{
			strandStep(plan.PhaseMount, plan.Mount, ""),
			strandStep(plan.PhaseMains, plan.Pull, "M1R"),
			strandStep(plan.PhaseMains, plan.Pull, "M1L"),
			strandStep(plan.PhaseMains, plan.Tie, "M1L"),
			strandStep(plan.PhaseCrosses, plan.Weave, "C1"),
			strandStep(plan.PhaseCrosses, plan.Pull, "C1"),
			strandStep(plan.PhaseCrosses, plan.Pull, "C2"),
			strandStep(plan.PhaseFinish, plan.Inspect, ""),
		},
	}
}

// followed is a plan that goes on with other steps after those that are done.
func followed(p *plan.Plan, done int, steps ...plan.Step) *plan.Plan {
	next := *p
	next.Steps = append(append([]plan.Step{}, p.Steps[:done]...), steps...)
	return &next
}

// events reads "1 done, 2.5 redo 2, 3 mishap": minutes after noon, a kind, and for a redo the step. A mishap leads to the
// plan given.
func events(t require.TestingT, p *plan.Plan, script string, mishap *plan.Plan) []run.Event {
	s := run.Start(p)
	var list []run.Event
	for line := range strings.SplitSeq(script, ", ") {
		words := strings.Fields(line)
		m, err := strconv.ParseFloat(words[0], 64)
		require.NoError(t, err)
		e := run.Event{At: minute(m), Kind: run.Kind(words[1]), Step: s.Current()}
		if len(words) > 2 {
			e.Step, err = strconv.Atoi(words[2])
			require.NoError(t, err)
		}
		if e.Kind == run.Mishap {
			e.Plan = mishap
		}
		s, err = s.Apply(e)
		require.NoError(t, err)
		list = append(list, e)
	}
	return list
}

// built is a plan for a built-in layout by a built-in sheet.
func built(t require.TestingT, frame, sheet string) *plan.Plan {
	data, ok := library.Layout(frame)
	require.True(t, ok, frame)
	f, _, err := patterns.ReadLayout(frame, data)
	require.NoError(t, err)
	data, ok = library.Technique(sheet)
	require.True(t, ok, sheet)
	technique, _, err := sequence.ReadTechnique(sheet, data)
	require.NoError(t, err)
	tension, err := measure.ParseTension("24 kg")
	require.NoError(t, err)
	p, err := sequence.Build(f, technique, tension, tension)
	require.NoError(t, err)
	return p
}

// worked does steps of a plan, a minute each.
func worked(p *plan.Plan, steps int) (list []run.Event) {
	for n := range steps {
		list = append(list, run.Event{At: minute(float64(n)), Kind: run.Done, Step: n + 1})
	}
	return list
}
