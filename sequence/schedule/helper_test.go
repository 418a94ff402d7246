package schedule_test

import (
	"strconv"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"pullcard/sequence/plan"
	"pullcard/sequence/progress"
	"pullcard/sequence/schedule"
)

// noon is an invented day's.
func noon() time.Time { return time.Date(2031, 5, 4, 12, 0, 0, 0, time.FixedZone("bench", 2*3600)) }

// minute is a time of that day, in minutes after noon.
func minute(m float64) time.Time { return noon().Add(time.Duration(m * float64(time.Minute))) }

// small is an invented frame of two mains and two crosses, in 8 steps.
func small() *plan.Plan {
	step := func(phase plan.Phase, ops ...plan.Op) plan.Step {
		return plan.Step{Phase: phase, Title: string(ops[0].Op), Ops: ops}
	}
	chord := func(s plan.Strand, from, to plan.Hole) plan.Chord {
		return plan.Chord{Strand: s, Ends: [2]plan.Hole{from, to}}
	}
	return &plan.Plan{
		Terms: plan.Terms{Pieces: 2, HolesLeft: 4, HolesRight: 4,
			Mains:   []plan.Chord{chord("M1L", "1HL", "1TL"), chord("M1R", "1HR", "1TR")},
			Crosses: []plan.Chord{chord("C1", "2HL", "2HR"), chord("C2", "3HL", "3HR")}},
		Steps: []plan.Step{
			step(plan.PhaseMount, plan.Op{Op: plan.Mount, Support: "head"},
				plan.Op{Op: plan.Thread, Strand: "M1L", From: "1HL", To: "1TL", Piece: plan.PieceMains}, grab(plan.A, "M1L", "1HL"),
				plan.Op{Op: plan.Thread, Strand: "M1R", From: "1HR", To: "1TR", After: "M1L", Piece: plan.PieceMains}),
			step(plan.PhaseMains, plan.Op{Op: plan.Pull, Strand: "M1R", Hole: "1TR"}, grab(plan.B, "M1R", "1TR"), ease()),
			step(plan.PhaseMains, plan.Op{Op: plan.Pull, Strand: "M1L", Hole: "1TL"}, off(plan.A), grab(plan.A, "M1L", "1TL"), ease()),
			step(plan.PhaseMains, tie("M1L", "1TL"), tie("M1R", "1TR"), off(plan.A), off(plan.B)),
			step(plan.PhaseCrosses, plan.Op{Op: plan.Weave, Strand: "C1", From: "2HL", To: "2HR", Piece: plan.PieceCrosses}, grab(plan.S, "C1", "2HL")),
			step(plan.PhaseCrosses, plan.Op{Op: plan.Pull, Strand: "C1", Hole: "2HR"}, grab(plan.A, "C1", "2HR"), ease(),
				plan.Op{Op: plan.Weave, Strand: "C2", From: "3HR", To: "3HL", After: "C1", Piece: plan.PieceCrosses}),
			step(plan.PhaseCrosses, plan.Op{Op: plan.Pull, Strand: "C2", Hole: "3HL"}, grab(plan.B, "C2", "3HL"), ease()),
			step(plan.PhaseFinish, plan.Op{Op: plan.Inspect}),
		},
	}
}

func grab(c plan.Clamp, s plan.Strand, h plan.Hole) plan.Op {
	return plan.Op{Op: plan.ClampOn, Clamp: c, Strand: s, Hole: h}
}

func off(c plan.Clamp) plan.Op { return plan.Op{Op: plan.Unclamp, Clamp: c} }

func ease() plan.Op { return plan.Op{Op: plan.Release} }

func tie(s plan.Strand, out plan.Hole) plan.Op {
	return plan.Op{Op: plan.Tie, Strand: s, Out: out, Hole: out, Anchor: s}
}

// followed is a plan that goes on with other steps after those that are done.
func followed(p *plan.Plan, done int, steps ...plan.Step) *plan.Plan {
	next := *p
	next.Steps = append(append([]plan.Step{}, p.Steps[:done]...), steps...)
	return &next
}

// events reads "1 done, 2.5 redo 2, 3 mishap": minutes after noon, a kind, and for a redo the step. A mishap leads to the
// plan given.
func events(t require.TestingT, p *plan.Plan, script string, mishap *plan.Plan) []progress.Event {
	s := progress.Start(p)
	var list []progress.Event
	for line := range strings.SplitSeq(script, ", ") {
		words := strings.Fields(line)
		m, err := strconv.ParseFloat(words[0], 64)
		require.NoError(t, err)
		e := progress.Event{At: minute(m), Kind: progress.Kind(words[1]), Step: s.Current()}
		if len(words) > 2 {
			e.Step, err = strconv.Atoi(words[2])
			require.NoError(t, err)
		}
		if e.Kind == progress.Mishap {
			e.Plan = mishap
		}
		s, err = s.Apply(e)
		require.NoError(t, err)
		list = append(list, e)
	}
	return list
}

// measure is how long the work took by which events happened.
func measure(t require.TestingT, p *plan.Plan, list []progress.Event) schedule.Work {
	past, err := progress.Play(p, list)
	require.NoError(t, err)
	w, _ := schedule.Measure(past, schedule.UsualPause)
	return w
}

// worked does steps of a plan, a minute each.
func worked(p *plan.Plan, steps int) (list []progress.Event) {
	for n := range steps {
		list = append(list, progress.Event{At: minute(float64(n)), Kind: progress.Done, Step: n + 1})
	}
	return list
}
